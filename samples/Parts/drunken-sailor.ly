\version "2.24.0"
\language "deutsch"
\include "../global.ily"

\header {
  title = "The Drunken Sailor"
  subtitle = "shanty, set for lever harp with levers A, E and B up"
  composer = "Traditional"
  arranger = "Harbour library, shelf mark L 7"
}

% Two hands only, no voices: the set that every player of the ensemble starts with.

right = \relative a' {
  \key d \dorian
  \time 2/4
  \tempo "Swaggering" 4 = 84
  \repeat volta 2 {
    a4 a8 a
    a( d, f a)
    g4 g8 g
    g( c, e g)
    a4 a8 a
    a( h c d)
    c( a g e)
  }
  \alternative {
    { d4 d }
    { d4 r }
  }
  \bar "||"

  % the left hand has the tune
  \repeat unfold 2 { r8 <d f a> r q }
  \repeat unfold 2 { r <e g c> r q }
  r <d f a> r q
  r <f a d> r q
  r <e a c> r <e g h>
  <d f a>4 r
  \bar "||"

  % running
  a'16( g f e d e f g)
  a( f d f a d c h)
  g( f e d c d e f)
  g( e c e g c h a)
  a( h c d e d c h)
  a( h c d c h a g)
  a( c h a g e f g)
  a8. e16 f8( e)
  \bar "||"

  % a wave on neighbouring strings, and out
  \repeat tremolo 4 { d'16 e }
  d8( a f d)
  \repeat tremolo 4 { c'16 d }
  c8( g e c)
  <a' d f a>4\arpeggio <g c e g>\arpeggio
  \times 2/3 { f8 a d } \times 2/3 { a d f }
  <e, a c e>4\arpeggio <e g c>
  d16( e f g a h c d)
  <f, a d>8-> r <a d f a>4\arpeggio\fermata
  \bar "|."
}

lower = \relative {
  \key d \dorian
  \repeat volta 2 {
    d,8( a' d a)
    d,( a' d a)
    c,( g' c g)
    c,( g' c g)
    d( a' d a)
    f( c' f c)
    a( e' a e)
  }
  \alternative {
    { d( a d,4) }
    { d'8( a d,4) }
  }

  a''4 a8 a
  a( d, f a)
  g4 g8 g
  g( c, e g)
  a4 a8 a
  a( h c d)
  c( a g e)
  d4 d

  <d, a' d>4 <a' d>
  <d f>4 d,
  <c g' c>4 <g' c>
  <c e>4 c,
  <f c' f>4 <c' f>
  <f a>4 f,
  <a e'>4 <e a>
  <d a'>4 r

  <d a' d>2\arpeggio
  f'4 d
  <c, g' c>2\arpeggio
  e'4 c
  d4 <c, c'>
  <d d'>4 f'
  <a, e' a>4 <c g'>
  <d, d'>4 a'8 g
  d4 <d a' d>\arpeggio\fermata
}

\score {
  \new GrandStaff <<
    \context Staff = "RH" { \clef treble \right }
    \context Staff = "LH" { \clef bass \lower }
  >>
  \layout { }
}
