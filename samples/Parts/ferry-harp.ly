\version "2.24.0"
\include "../global.ily"
\include "../Notes/ferry-frame.ily"
\include "../Notes/ferry-harp.ily"

\header {
  title = "The Ferry at Daybreak"
  subtitle = "for flute and harp"
  instrument = "Harp"
  composer = "Harbour library, shelf mark C 12"
}

\score {
  \removeWithTag #'(easy score) \new PianoStaff <<
    \new Staff = "upper" << \ferryFrame \harpRight >>
    \new Dynamics \harpDynamics
    \new Staff = "lower" << \ferryFrame \harpLeft >>
    \new Dynamics \harpPedals
  >>
  \layout { }
}
