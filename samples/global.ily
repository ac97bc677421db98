\version "2.24.0"

% House style of the Quaymouth Harbour Ensemble: every part and score includes this file first.

#(set-default-paper-size "a4")
#(set-global-staff-size 20)

\paper {
  top-margin = 10\mm
  bottom-margin = 11\mm
  left-margin = 15\mm
  right-margin = 13\mm
  indent = 0
  ragged-last-bottom = ##t
  markup-system-spacing.basic-distance = #10
  system-system-spacing.padding = #1.5
}

\header {
  tagline = \markup \small \italic "Quaymouth Harbour Ensemble, music library"
}

\layout {
  \context {
    \Score
    \override BarNumber.padding = #1.5
  }
  \context {
    \PianoStaff
    connectArpeggios = ##t
  }
}
