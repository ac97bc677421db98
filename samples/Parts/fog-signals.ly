\version "2.24.0"
\language "english"
\include "../global.ily"

\header {
  title = "Fog Signals"
  subtitle = "for pedal harp"
  composer = "Harbour library, shelf mark H 7"
}

% The bell on the Quaymouth mole gives a bar of G minor, and the ferry, feeling her way in, answers by semitones.
% No pedal is marked but the setting of the glissando in bar 16: lyfinger mark --pedals prints the rest.

upperNotes = \relative c'' {
  \clef treble
  \key g \minor
  \time 3/4
  \tempo "Andante" 4 = 66

  % the bell
  g8 bf d g d bf
  a8 c d a' d, c
  a8 c f a f c
  g8 bf c e c bf
  g8 c ef g ef c
  a8 c d fs d c
  g2.

  % the ferry's horn
  \repeat volta 2 {
    bf4 b c
    cs4 d ef
    e4 f fs
    <g, g'>2.
  }

  % fog
  r2.
  <af c ef af>2.
  <af df f af>2.
  r2.
  c,4_\markup \harp-pedal "v-v|^-v^" \glissando c''2
  R2.

  % alongside
  g,8 bf d g d bf
  a8 c d fs d c
  <g, bf d g>2.\fermata
  \bar "|."
}

lowerNotes = \relative c {
  \clef bass
  \key g \minor
  g'2.
  fs2.
  f2.
  e2.
  ef2.
  d2.
  g,4 d' g
  \repeat volta 2 {
    g,2.
    a2.
    a2.
    d2 g,4
  }
  r2.
  <af ef'>2.
  <df, af'>2.
  r2.
  af'2.
  R2.
  g2.
  d'2.
  <g,, d' g>2.\fermata
}

\score {
  \new PianoStaff <<
    \new Staff = "upper" \upperNotes
    \new Staff = "lower" \lowerNotes
  >>
  \layout { }
}
