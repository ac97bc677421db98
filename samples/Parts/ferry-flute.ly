\version "2.24.0"
\include "../global.ily"
\include "../Notes/ferry-frame.ily"
\include "../Notes/ferry-flute.ily"

\header {
  title = "The Ferry at Daybreak"
  subtitle = "for flute and harp"
  instrument = "Flute"
  composer = "Harbour library, shelf mark C 12"
}

\score {
  \compressMMRests \new Staff = "flute" << \ferryFrame \ferryFlute >>
  \layout { }
}
