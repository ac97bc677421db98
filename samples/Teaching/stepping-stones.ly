\version "2.24.0"
\include "../global.ily"

\header {
  title = "Stepping Stones"
  subtitle = "three pieces for a small hand on a lever harp tuned in E flat"
  composer = "Harbour library, shelf mark T 1"
}

% Printed digits are the teacher's; every other digit is a suggestion.
% Stop when it hurts, and show the place to your teacher.

% 1. Levers up: A, E, B.

stonesUp = {
  \clef treble \key c \major \time 4/4
  \tempo "Calm" 4 = 76
  \repeat volta 2 {
    c'4-3 d'-2 e'2-1 |
    c'8( d' e' f') g'2 |
    a'4^1( g'^2 f'^3 e'^4) |
    d'2 <d'-2 f'-1> |
    e'4( f') g'2 |
    e'8( f' g' a') b'2 |
    c''4( b' a' g') |
  }
  \alternative {
    { <d' g'>2. r4 | }
    { <e' g' c''>1 | }
  }
  c''8( b' a' g') a'2 |
  b'8( a' b' c'') d''2 |
  c''8-1 b' a' g' f' e' d' c' |
  e'2. r4\fermata |
  <a c'>4 <b d'> <c' e'>2 |
  <d' f'>4 <e' g'> <f' a'>2 |
  <g' b'>4 <f' a'> <e' g'> <d' f'> |
  <c' e'>2 g'8( f' e' d') |
  c'8( d' e' c') d'( e' f' d') |
  e'( f' g' e') f'( g' a' f') |
  g'( a' b' g') a'( b' c'' a') |
  b'4 c'' d''2 |
  c''8( g' e' c') r2 |
  r2 e'8( g' c'' e'') |
  <f' a' c''>2\arpeggio <d' g' b'>\arpeggio |
  <e' g' c''>1\arpeggio\fermata |
  \bar "|."
}

stonesDown = {
  \clef bass \key c \major \time 4/4
  \repeat volta 2 {
    <c e>2 <e g> |
    c4( e g e) |
    f4( a c' a) |
    g,2 <g b> |
    c4_3( g_1 e_2 g_1) |
    a,4( e c e) |
    f4( c' a c') |
  }
  \alternative {
    { g4( d b, g,) | }
    { c4( g e c) | }
  }
  <a, e>2 a |
  g4( b d' b) |
  <f a>2 <c f> |
  <e b>2. r4\fermata |
  a,2 a |
  d2 a |
  g4( d b, g,) |
  c4( e) g r |
  <c e g>2 <b, d g> |
  <c e g>2 <d f a> |
  <e g b>2 <f a c'> |
  g4( b d' b) |
  r2 g8( e c g,) |
  c8( e g c') r2 |
  <f, c>2\arpeggio <g, d>\arpeggio |
  <c g>1\arpeggio\fermata |
}

% 2. Before it starts the left hand puts lever B down (F major).
% One line for two hands on one staff: stems up right, stems down left.

pebble = {
  \clef treble \key f \major \time 3/4
  \tempo "Flowing" 4 = 84
  % lyfinger: left
  \stemDown a8([ c' f')]
  % lyfinger: right
  \stemUp a'([ c'' f'')]
  e''4( d'' c'')
  % lyfinger: left
  \stemDown bes8([ d' f')]
  % lyfinger: right
  \stemUp bes'([ d'' f'')]
  d''4( c''2)
  % lyfinger: left
  \stemDown g8([ bes d')]
  % lyfinger: right
  \stemUp g'([ bes' d'')]
  c''4( bes' g')
  % lyfinger: left
  \stemDown c'8([ e' g')]
  % lyfinger: right
  \stemUp bes'([ c'' bes')]
  a'2.\breathe
  f''8([ c'' a')]
  % lyfinger: left
  \stemDown f'([ c' a)]
  bes4( d' f')
  % lyfinger: right
  \stemUp e''8([ c'' g')]
  % lyfinger: left
  \stemDown e'([ c' g)]
  a4( c' f')
  % lyfinger: right
  \stemUp d''8([ bes' g')]
  % lyfinger: left
  \stemDown d'([ bes g)]
  % lyfinger: right
  \stemUp c''8([ a' f')]
  % lyfinger: left
  \stemDown c'([ a f)]
  g8_3([ c'_2 e'_1)]
  % lyfinger: right
  \stemUp g'([ bes' c'')]
  a'2.~
  a'2 r4
  <f' a'>4 q <a' c''>
  <g' bes'>4 2
  % lyfinger: left
  \stemDown <bes d'>4 q <d' f'>
  <c' e'>4 q2
  % lyfinger: right
  \stemUp
  \appoggiatura g'8 f'4( a' c'')
  f''8( e'' d'' c'' bes' a')
  % lyfinger: left
  \stemDown g8([ c' e')]
  % lyfinger: right
  \stemUp g'4 r8
  % lyfinger: left
  \stemDown f'4\flageolet
  % lyfinger: right
  \stemUp c''2\flageolet\fermata
  \bar "|."
}

% 3. Before it starts the left hand puts levers B and F up (G major).

ducksUp = { |
  \clef treble \key g \major \time 2/4
  \tempo "Lively" 4 = 92
  \repeat volta 2 {
    g'8( b' d'' b') |
    c''8( a' fis' a') |
    b'16( c'' b' a') g'8 d' |
    <fis' a'>4 d' |
    g'8( b' d'' b') |
    e''8( d'' c'' a') |
    \acciaccatura c''8 b'8( a') <d' fis'> <d' fis' a'> |
  }
  \alternative {
    { <d' g'>4 r8 d' | }
    { <b d' g'>4 r | }
  }
  \tuplet 3/2 { e'8( fis' g') } b'4 |
  \tuplet 3/2 { c''8( b' a') } e'4 |
  \omit TupletNumber
  \tuplet 3/2 4 { d'8( fis' a' d'' a' fis') } |
  \undo \omit TupletNumber
  g'4 \grace { a'16( g' fis' } g'4) |
  <c' e'>8 q <e' g'> q |
  <d' fis'>8 q <fis' a'> q |
  g'16( fis' e' d') e'( fis' g' a') |
  b'16( c'' d'' e'') d''4\breathe |
  r8 <g' b'> r q |
  r8 <g' b'> r q |
  r8 <fis' a'> r q |
  r8 <e' g'> r q |
  r8 <e' a'> r q |
  r8 <e' g'> r q |
  r8 <d' fis'> r q |
  r8 <e' g'> q r |
  e''8( d'' b' g') |
  a'8( b' c'' e'') |
  d''8( c'' a' fis') |
  g'8( a' b' d'') |
  c''16( b' a' g') a'( b' c'' d'') |
  e''16( d'' c'' b') c''( d'' e'' fis'') |
  g''8 <b' d''> q q |
  <fis' a' c''>4 d'\fermata |
  g'8-3( b'-2 d''-1 b') |
  c''8( a' fis' a') |
  b'16( c'' b' a') g'8 d' |
  << { g'8( a' g' fis') } \\ { e'4 d' } >> |
  g'8( b' d'' g'') |
  e''8( c'' a' fis') |
  <b d'>8 q <d' g'> q |
  <c' e'>8 q <e' a'> q |
  b'8( a' g' fis') |
  e'8( d' c' b) |
  g'4\glissando g''4 |
  <b d' g'>2\arpeggio |
  \bar "|."
}

ducksDown = { |
  \clef bass \key g \major \time 2/4
  \repeat volta 2 {
    g,8( d b, d) |
    a,8( d c d) |
    g,8( d b, d) |
    d,4 <d fis> |
    g,8( d b, d) |
    c8( g e g) |
    d8( a) c4 |
  }
  \alternative {
    { <b, g>4 r | }
    { g,4 r | }
  }
  <e g b>4 e |
  <a, e>4 c |
  <d fis a>4 <c d> |
  <b, d>4 b, |
  c8 8 g,8 8 |
  d8 8 a,8 8 |
  << { b4 a } \\ { e4 c } >> |
  <g b>4 <g, d> |
  % the left hand has the tune
  e4( g8 a) |
  b4( g) |
  a4( fis8 d) |
  e2 |
  c4( e8 fis) |
  g4( e) |
  fis4( d) |
  e4 r |
  \tuplet 3/2 4 { e8( g b g b g) } |
  \omit TupletNumber
  \tuplet 3/2 4 { a,8( c e c e c) } |
  \tuplet 3/2 4 { d8( fis a fis a fis) } |
  \tuplet 3/2 4 { g,8( b, d b, d b,) } |
  \undo \omit TupletNumber
  <c e g>4 q |
  <a, c e>4 q |
  <g, d>4 <g b> |
  <d a>4 <d fis>\fermata |
  g,8( d b, d) |
  a,8( d c d) |
  g,8( d b, d) |
  <c g>4 <a, d> |
  b,8( d g b) |
  <c g>4 <d a> |
  g,4 b, |
  c4 a, |
  <g b>4 <d a> |
  <c g>4 d |
  <g, d>2 |
  <g, d>2\arpeggio |
}

\score {
  \new PianoStaff <<
    \new Staff = "up" \stonesUp
    \new Staff = "down" \stonesDown
  >>
  \header { piece = "1. Stepping Stones" }
  \layout { }
}

\score {
  \new Staff = "pebble" \pebble
  \header { piece = "2. Passing the Pebble" }
  \layout { }
}

\score {
  \new PianoStaff <<
    \new Staff = "up" \ducksUp
    \new Staff = "down" \ducksDown
  >>
  \header { piece = "3. Ducks in a Row" }
  \layout { }
}
