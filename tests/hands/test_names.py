"""Which staves are the harp's where the user names them. The music is invented."""

from __future__ import annotations

import pytest

from lyfinger.hands.assign import assign
from lyfinger.hands.names import asked_for
from lyfinger.hands.players import players

from ..score.sources import score_of

ORCHESTRA = r"""
tune = { g''1 }
\score { <<
  \new Staff = "fl" \with { instrumentName = "Flute" } \tune
  \new PianoStaff \with { instrumentName = "Piano" } << \new Staff = "pu" { c'1 } \new Staff = "pl" { c1 } >>
  \new PianoStaff = "zither" << \new Staff = "up" \with { instrumentName = "Zither 1" } { e'1 }
                                \new Staff = "down" { e1 } >>
  \new PianoStaff \with { instrumentName = "Harp [2]" } << \new Staff = "hu" { g'1 } \new Staff = "hl" { g1 } >>
>> }
"""


@pytest.mark.parametrize(
    ("name", "staves"),
    [
        ("fl", ["fl"]),
        ("FLUTE", ["fl"]),
        ("tune", ["fl"]),
        ("up", ["up"]),
        ("zither", ["up", "down"]),
        ("Zither 1", ["up", "down"]),
        ("z*", ["up", "down"]),
        ("?l", ["fl", "pl", "hl"]),
        ("harp*", ["hu", "hl"]),
        ("harp", []),
        ("*", ["fl", "pu", "pl", "up", "down", "hu", "hl"]),
    ],
)
def test_a_name_stands_for_staves(name: str, staves: list[str]) -> None:
    score = score_of(ORCHESTRA)
    assert [score.staves[index].label for index in sorted(asked_for(score, [name], ()))] == staves


@pytest.mark.parametrize(
    ("names", "harp"),
    [
        ([], ["hu", "hl"]),
        (["nobody"], ["hu", "hl"]),
        (["zither"], ["up", "down"]),
        (["up"], ["up", "down"]),
        (["piano", "harp*"], ["pu", "pl", "hu", "hl"]),
        (["fl"], ["fl"]),
    ],
)
def test_the_named_staves_are_the_harps_with_the_rest_of_their_group(names: list[str], harp: list[str]) -> None:
    score = score_of(ORCHESTRA)
    found = players(score, names)
    assert [staff.label for staff, own in zip(score.staves, found.harp, strict=True) if own] == harp


def test_a_staff_for_the_other_hand_is_planned_along_without_a_group() -> None:
    """So that five notes don't pass to a hand that is busy."""
    score = score_of(
        r"\score { << \new Staff = RH { <c' e' g' b' d''>1 } \new Staff = LH { c1 } \new Staff = tune { g''1 } >> }"
    )
    hands = assign(score, {}, ["RH"])
    assert len(hands.crowded) == 5
    assert [str(hand) for hand, note in zip(hands.hands, score.notes, strict=True) if note.staff == 1] == ["left"]
    assert [hand for hand, note in zip(hands.hands, score.notes, strict=True) if note.staff == 2] == [None]


def test_percussion_is_not_plucked_whatever_its_name() -> None:
    score = score_of(r"\score { << \new RhythmicStaff = harp { c'1 } \new Staff = RH { c'1 } >> }")
    assert [staff for staff, own in zip(score.staves, players(score, ["harp", "RH"]).harp, strict=True) if own] == [
        score.staves[1]
    ]
