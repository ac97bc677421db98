"""Which texts are pedal marks. Letters with signs: common practice of the trade, no source; the diagram is the
typesetter's own."""

from __future__ import annotations

import pytest

from lyfinger.harp.feet import PedalSettings
from lyfinger.pedals.letters import diagram, spoken
from lyfinger.pedals.marks import mark_of

MARKS = [
    ('_"F#"', {3: 1}),
    ('_"F♯"', {3: 1}),
    ('^"B♭"', {6: -1}),
    ('-"Bb"', {6: -1}),
    ('_"C♮"', {0: 0}),
    ('_"C natural"', {0: 0}),
    ('_"F♯ B♭"', {3: 1, 6: -1}),
    ('_"F♯, B♭"', {3: 1, 6: -1}),
    ('_"(F#)"', {3: 1}),
    ('_"Ped. F#"', {3: 1}),
    ("_\\markup { F \\sharp }", {3: 1}),
    ('_\\markup { "F" \\sharp }', {3: 1}),
    ("_\\markup { F\\sharp }", {3: 1}),
    ("_\\markup \\concat { F \\super \\sharp }", {3: 1}),
    ("_\\markup { F \\raise #0.5 \\fontsize #-2 \\sharp }", {3: 1}),
    ('_\\markup { \\bold "Ped." F \\sharp }', {3: 1}),
    ("_\\markup \\center-column { \\line { F \\sharp } \\line { C \\natural } }", {3: 1, 0: 0}),
    ("_\\markup { G % a comment\n \\flat }", {4: -1}),
]
OTHERS = [
    '^"dolce"',
    '^"A"',
    '^"E"',
    '^"Mi♭"',
    '^"Bb minor"',
    '^"F# minor"',
    "^\\markup \\italic Da",
    '^""',
    '^"1"',
    '^"b"',
]


@pytest.mark.parametrize(("source", "settings"), MARKS)
def test_a_letter_with_a_sign_is_a_mark(source: str, settings: dict[int, int]) -> None:
    found = mark_of(source)
    assert found is not None
    assert (dict(found.settings), found.diagram) == (settings, False)


@pytest.mark.parametrize("source", OTHERS)
def test_other_texts_are_none(source: str) -> None:
    assert mark_of(source) is None


def test_letters_of_the_note_language() -> None:
    assert mark_of('^"Mi♭"', ["français"]) == mark_of('^"E♭"')
    assert mark_of('^"H♮"', ["deutsch"]) == mark_of('^"B♮"')


@pytest.mark.parametrize("written", ['"^v-|vv-^"', '#"^v-|vv-^"', '"^v-|ovv-o^"'])
def test_the_diagram_of_the_typesetter(written: str) -> None:
    """D C B, then E F G A; up is flat, down is sharp: the typesetter's documentation; order [P] E. Volpé Bligh."""
    found = mark_of(f"^\\markup \\harp-pedal {written}")
    assert found is not None
    assert found.diagram
    setting = tuple(found.settings[step] for step in range(7))
    assert spoken(setting) == "D♭ C♯ B♮ | E♯ F♯ G♮ A♭"
    assert diagram(setting) == "^v-|vv-^"


def test_commands_of_the_score_itself() -> None:
    own = PedalSettings(diagrams=("harpSetting",), changes=("pedalMove",))
    assert mark_of('_\\markup \\harpSetting "---|v---"', settings=own) is not None
    assert mark_of('_\\markup \\pedalMove "Fn"', settings=own) == mark_of('_"F♮"')
    assert mark_of('_\\markup \\harpSetting "---|v---"') is None
    assert mark_of('_\\markup \\pedalMove "Fn"') is None
