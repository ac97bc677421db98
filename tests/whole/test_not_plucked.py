"""What is not a plucked note of the harp's stays as it is. Common practice, no source; the music is invented."""

from __future__ import annotations

from .command import marked

BARE = r"""\version "2.24.0"
flute = { g''4 a'' b'' c''' d'''1 }
\score { <<
  \new Staff \with { instrumentName = "Flute" } \flute
  \new DrumStaff \drummode { bd4 sn bd sn bd1 }
  \new ChordNames \chordmode { c1 g1 }
  \new PianoStaff \with { instrumentName = "Harp" } <<
    \new Staff = "ossia" { c'4 e' g' e' c'1 }
    \new Staff = "RH" {
      << { r4 s r R4 } \new CueVoice { g''4 a'' b'' c''' } >>
      c'4 <<
        { e' g' e' }
        \new Staff \with { alignAboveContext = "RH" } { e'4 f' g' }
      >>
    }
    \new Lyrics \lyricmode { la4 la la la }
    \new Staff = "LH" { \clef bass R1-1 c4-"a" e2 ~ e4 }
    \new FiguredBass \figuremode { <6>1 <6>1 }
  >>
  \new TabStaff { c4 d e f c1 }
>> }
"""


def test_only_the_harps_strings_get_digits() -> None:
    found = marked(BARE).decode()
    places = [(old, new) for old, new in zip(BARE.splitlines(), found.splitlines(), strict=True) if old != new]
    assert [old.strip()[:8] for old, _ in places] == ["c'4 <<", "{ e' g' ", "\\new Sta"]
    assert [sum(char in "^_" for char in new) for _, new in places] == [1, 3, 2]
