"""Digits that another instrument's staff prints too are told. The music is invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.config import Config
from lyfinger.marking.plan import make_plan
from tests.referee.events import played
from tests.score.sources import reading_of

SOURCE = r"""\version "2.24.0"
tune = { c''4-1 d'' e'' f'' }
alone = { g'1 }
\score { <<
  \new Staff = "fl" \with { instrumentName = "Flute" } { %s }
  \new PianoStaff \with { instrumentName = "Harp" } << \new Staff = "RH" { \tune \alone } \new Staff = "LH" { c1 c } >>
>> }
"""


@pytest.mark.parametrize(
    ("flute", "told"),
    [
        ("g''1 g''", []),
        ("c''4 d'' e'' f'' \\alone", ["3:11", "this digit is printed in fl too", "(bar 2) [doubled]"]),
        ("\\tune \\alone", ["2:17", "this digit and 3 more are printed in fl too", "(bar 1) [doubled]"]),
    ],
)
def test_each_staff_once(flute: str, told: list[str]) -> None:
    plan = make_plan([reading_of(SOURCE % flute)], Config())
    found = [str(message) for message in plan.messages if message.rule == "doubled"]
    assert len(found) == bool(told)
    assert all(part in line for line in found for part in told)


def test_the_typesetter_prints_them_there(tmp_path: Path) -> None:
    path = tmp_path / "a.ly"
    path.write_text(SOURCE % "\\tune r1", encoding="utf-8")
    (events,) = played(path)
    notes = {note.number: note for note in events.notes}
    assert [notes[finger.note].staff.name for finger in events.fingers if finger.note is not None] == ["fl", "RH"]
