\version "2.24.0"
\language "english"
\include "../global.ily"

\header {
  title = "Lantern Walk"
  subtitle = "for pedal harp"
  composer = "Harbour library, shelf mark H 3"
}

% Quaymouth's children carry lanterns along the harbour wall on the longest night.
% Bars 37 to 40: the voice "over" stands in the upper staff and is played by the left hand.

toUpper = \change Staff = "upper"
toLower = \change Staff = "lower"

frame = {
  \key ef \major
  \time 4/4
  \tempo "Andante" 4 = 69
  s1*4
  s1*8 \bar "||"
  \tempo "Poco più mosso"
  s1*8 \bar "||"
  \tempo "Tranquillo"
  s1*16 \bar "||"
  \tempo "Tempo I" 4 = 69
  s1*8 \bar "||"
  s1*5
  \tempo "poco rit."
  s1*3 \bar "|."
}

RH = \relative c'' {
  \clef treble
  s1*3
  s2 <af, d f bf>2\arpeggio\fermata

  % the tune
  <ef' g bf>4.( c'8 <ef, bf'>4 <bf g'>)
  <c^3 ef^2 af^1>4.( g'8 <bf, d f>2)
  <bf ef g>4.( af'8 <ef bf'>4 <g bf ef>)
  <f bf d>2( c'4 bf)
  <g c ef>4.( d'8 <ef, c'>4 <d bf'>)
  <c af'>4( <ef c'> <ef bf'> <bf g'>)
  <af c f>4.( g'8 <bf, d af'>4 <bf d f>)
  <bf ef g>2.\breathe r4

  % two voices in one hand
  <<
    {
      ef'2( d4 c
      b2 c4 d)
      ef4.( f8 g4 ef
      d1)
    }
    \\
    {
      r8 g,( c g) r g( ef g)
      r d( f d) r f( g f)
      r g( c g) r c( g c)
      r g( b g d g b g)
    }
  >>

  % runs down and up
  <af c f>4.\arpeggio g'8( af16 g f ef d c bf af)
  <bf, d f>4.\arpeggio ef8( f16 g af bf c d ef f)
  g4-> ef16( bf g ef) bf'( g ef bf) g'( ef bf g)
  <g' bf df>4( c8 bf) <ef, g df'>2\arpeggio

  % broken chords over a tune for the left thumb
  \tuplet 3/2 4 {
    af8( c ef af ef c) c( ef af c af ef)
    \omit TupletNumber
    af,( df f af f df) bf( df f bf f df)
    af( df f af f df) bf( ef af g ef bf)
    af( c ef-2 af-1 ef c)
    \undo \omit TupletNumber
  }
  <af c ef af>2\arpeggio

  % the tune in octaves
  <ef' ef'>4.( <df df'>8 <c c'>4 <af af'>)
  <f' f'>4( <ef ef'> <df df'>2)
  <bf bf'>4.( <c c'>8 <df df'>4 <ef ef'>)
  <c ef af c>4 r <bf e g bf>2\arpeggio
  <af c f>4.( g'8 <af, c af'>4 <c f c'>)
  <df f bf>4( <c f af> <bf df g> <af df f>)
  <g bf df ef>2\arpeggio q4 q
  <af c ef af>2. r4

  % one scale for both hands, up and down again
  s1
  <ef af c>4 ef'16( df c bf af g f ef) \toLower df( c bf af) \toUpper
  <af' c f>2( <af c ef>4 <f af c>)
  bf,2\glissando bf''4 r4\fermata

  % the right hand fills in, the left crosses over it
  <<
    \new Voice = "over" {
      \voiceOne
      r4 bf2->^\markup \italic "m.s." g4
      r4 c2 f,4
      r4 bf2 ef4
      r4 d2 bf4
    }
    {
      \voiceTwo
      ef,,16( g bf ef bf g ef g) bf( ef bf g ef g bf ef)
      ef,( af c ef c af c af) d,( f bf d bf f bf f)
      g( bf ef bf g ef g bf) ef,( g bf ef bf g bf ef)
      f,( af bf d bf af d bf) f( bf d f d bf af f)
    }
  >>
  \oneVoice
  <ef g c ef>4.\arpeggio( d'8 <ef, g c>4 <d g bf>)
  <c ef af>4( <ef af c> <ef g bf> <bf ef g>)
  <af c f>4.\arpeggio g'8 <bf, d f af>4( <bf d f>)
  <bf ef g>2.\arpeggio r4

  % coda
  \ottava #1
  ef''8( bf g ef') bf'( g ef bf)
  \ottava #0
  <af, cf ef>4 q8 q q2
  \grace { ef'16( f } g8-1 ef bf g) bf( g ef bf)
  <bf ef af>4( <bf ef g> <bf d af'> <bf d f>)
  g'2\flageolet bf\flageolet
  <c, ef af c>2\arpeggio <d f af bf>\arpeggio
  ef8( g bf ef) \afterGrace g2( { f16 g) }
  <g, bf ef g>1\arpeggio\fermata
}

LH = \relative c {
  \clef bass
  \tuplet 3/2 8 {
    ef,16[ bf' ef] \change Staff = "upper" g[ bf ef] g[ ef bf] \change Staff = "lower" g[ ef bf]
    \omit TupletNumber
    ef,[ c' ef] \toUpper af[ c ef] af[ ef c] \toLower af[ ef c]
    ef,[ bf' f'] \toUpper bf[ d f] bf[ f d] \toLower bf[ f bf,]
    ef,[ bf' ef] \toUpper g[ bf ef] g[ ef bf] \toLower g[ ef bf]
    c,[ g' c] \toUpper g'[ c ef] g[ ef c] \toLower g[ c, g]
    f[ c' f] \toUpper af[ c f] af[ f c] \toLower af[ f c]
    bf,[ f' bf] \toUpper af'[ d f] bf[ f d] \toLower af[ f bf,]
  }
  \undo \omit TupletNumber
  <bf, f' bf>2\arpeggio\fermata

  ef8_4( bf'_2 ef_1 bf_2) g( bf ef bf)
  af( ef' af ef) bf,( f' bf f)
  g( bf ef bf) ef,( bf' ef bf)
  bf,( f' bf f) d'( f af f)
  c( g' c g) c,( g') bf,( g')
  af,( ef' af ef) g,( bf ef bf)
  f( c' f c) bf,( f' bf f)
  ef( bf' ef bf) <ef, ef'>4 r

  <c c'>2 <g' ef'>
  <g, g'> <b' f'>
  <c, c'> <ef ef'>4 <c c'>
  <g g'>2 <d'' g b>\arpeggio
  <f, c'> <af f'>
  bf,8( f' bf f) <bf d f af>2\arpeggio
  <ef, ef'>2 <bf' ef g>
  ef,8( bf' df g bf g df bf)

  <<
    { af'4( bf c ef) df4.( c8 bf4 af) bf2( af4 g) af1 }
    \\
    { af,1 df bf2 ef af,2 <ef ef'> }
  >>

  af16( c ef af c af ef c) af( ef' af ef c' af ef c)
  df( f af df af f af f) bf,( df f bf f df f df)
  ef( df c bf af g f ef) g( bf df ef df bf g bf)
  <af ef'>4 r <c, c'>2
  f16( c' f g af g f c) f,( c' f af c af f c)
  bf( df f bf df bf f df) bf( df f bf f df bf df)
  ef,( g bf df ef df bf g) bf( df ef g ef df bf g)
  <af ef' af>2. r4

  af16( bf c df ef f g af \toUpper bf c df ef f g af bf) \toLower
  <af,, ef'>4 r2 s4
  <f c'>2 <f c' ef>
  <bf, bf'>2 r

  <ef bf'>4 r2.
  <af ef'>4 r2.
  <g ef'>4 r2.
  <bf, f' bf>4 r2.
  \tuplet 3/2 4 {
    c8( g' c ef c g)
    \omit TupletNumber
    c,( g' c) bf,( g' bf)
    af,( ef' af c af ef) g,( ef' g) ef( bf' ef)
    f,( c' f c f c) bf,( f' bf f bf f)
    ef( bf' ef g ef bf)
    \undo \omit TupletNumber
  }
  <ef, ef'>4 r

  <ef bf'>1
  <af ef' af>2 <af ef'>
  <ef bf'>1
  bf8( f' bf f) <bf, bf'>2
  <ef' bf'>2\flageolet ef\flageolet
  <c, c'>2 <bf bf'>
  ef8( bf' ef g bf4 ef)
  <ef,, bf' ef>1\arpeggio\fermata
}

pedals = {
  s1*4_\markup \harp-pedal "--^|^--^"
  s1*8
  s1_\markup \concat { B \natural }
  s1*3
  s2 s2_\markup \concat { B \flat }
  s1*2
  s1_\markup \concat { D \flat }
  s1*7
  s4 s2._\markup \concat { E \natural }
  s1_\markup \concat { E \flat }
  s1*5
  s1_\markup \concat { D \natural }
  s1*10
  s1_\markup \concat { C \flat }
  s1
  s1_\markup \concat { C \natural }
  s1*4
}

dynamics = {
  s1*3\p s2 s2\> s1*8\mp
  s1*4\mf s1*2\f s1\> s1\mp
  s1*4\p
  s1*3\mf s1\< s1*2\f s1\> s1\p
  s1\< s1\f s1\> s1\mp
  s1*4\p s1*3\f s1\>
  s1\p s1\pp s1 s1\mp s1*2\p s1\> s1\ppp
}

\score {
  \new PianoStaff <<
    \new Staff = "upper" << \frame \RH >>
    \new Dynamics \dynamics
    \new Staff = "lower" << { \key ef \major s1 } \LH >>
    \new Dynamics \pedals
  >>
  \layout { }
}
