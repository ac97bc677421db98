\version "2.24.0"
\include "../global.ily"
\include "../Notes/ferry-frame.ily"
\include "../Notes/ferry-flute.ily"
\include "../Notes/ferry-harp.ily"

\header {
  title = "The Ferry at Daybreak"
  subtitle = "for flute and harp"
  composer = "Harbour library, shelf mark C 12"
}

\paper {
  indent = 16\mm
  short-indent = 8\mm
}

\score {
  <<
    \new Staff = "flute" \with {
      instrumentName = "Flute"
      shortInstrumentName = "Fl."
    } << \ferryFrame \ferryFlute >>
    \removeWithTag #'(easy part) \new PianoStaff \with {
      instrumentName = "Harp"
      shortInstrumentName = "Hp."
    } <<
      \new Staff = "upper" << { \key g \major s2.*26 \key ees \major s2.*13 \key g \major } \harpRight >>
      \new Dynamics \harpDynamics
      \new Staff = "lower" << { \key g \major s2.*26 \key ees \major s2.*13 \key g \major } \harpLeft >>
      \new Dynamics \harpPedals
    >>
  >>
  \layout { }
}
