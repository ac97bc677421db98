"""Plans of a few bars each. Feet and rate: [P] E. Volpé Bligh, Writing for the Pedal Harp; when a letter is in use:
common practice of the trade, no source. The music is invented."""

from __future__ import annotations

import pytest

from lyfinger.harp.feet import PedalSettings
from lyfinger.pedals.letters import LEFT_FOOT, RIGHT_FOOT, foot_of, spoken

from .music import plan_of, told, troubles

CASES = [
    # The pedal moves between the end of the old use and the first new one, away from the notes.
    ("c''4 d'' e''2 cis''1", "r1 r1", ["1.3 C♯"], "on a long note, not with the C♯"),
    ("c''4 r2. | cis''1", "r1 r1", ["1.2 C♯"], "in the rest"),
    ("c''2 d''4 e'' cis''1", "c1 r1", ["2.1 C♯"], "the other hand's C sounds to the bar line"),
    ("c''2 d''4 e'' cis''1", "c2 d2 r1", ["1.4 C♯"], "the other hand's C has ended"),
    ("c''2~ c''4 e'' cis''1", "r1 r1", ["1.4 C♯"], "a tie goes on"),
    # Nothing moves where nothing must.
    ("fis''2 g'' fis''1", "cis1 d1", [], "set before the start"),
    ("c''1 c'1", "r1 r1", [], "one alteration"),
    # One pedal a foot at a moment: the two feet may move together, one foot takes two moments.
    ("<c'' e''>1 g'1 <cis'' es''>1", "r1*3", ["2.1 C♯", "2.1 E♭"], "[P] one foot each"),
    ("<c'' d''>1 g'2 a' <cis'' dis''>1", "r1*3", ["2.1 C♯", "2.3 D♯"], "[T] one pedal a foot at a moment"),
    # Repeats come back in the right setting.
    ("\\repeat volta 2 { f''2 g'' fis'' a'' } g''1", "r1 r1 r1", ["1.3 F♯", "2.3 F♮"], "back before the turn"),
    ("\\repeat volta 2 { f''2 g'' } fis''1", "r1 r1", ["2.1 F♯"], "behind the repeat"),
]


@pytest.mark.parametrize(("upper", "lower", "changes", "why"), CASES)
def test_changes(upper: str, lower: str, changes: list[str], why: str) -> None:
    plan = plan_of(upper, lower)
    assert told(plan) == changes, why
    assert not plan.difficulties


def test_feet() -> None:
    """Left foot D C B, right foot E F G A: [P] E. Volpé Bligh."""
    assert "".join("CDEFGAB"[step] for step in LEFT_FOOT) == "DCB"
    assert "".join("CDEFGAB"[step] for step in RIGHT_FOOT) == "EFGA"


def test_the_start_is_what_is_needed_first_and_else_the_key() -> None:
    assert spoken(plan_of("\\key d \\major d''4 b' bes'2").start) == "D♮ C♯ B♮ | E♮ F♯ G♮ A♮"
    assert spoken(plan_of("\\key c \\major as'4 g' f' es'").start) == "D♮ C♮ B♮ | E♭ F♮ G♮ A♭"


def test_d_and_b_by_one_foot_are_trouble_and_neighbours_a_matter_of_the_player() -> None:
    """D with B never, two neighbours for some players: [T]."""
    able = PedalSettings(neighbours=True)
    assert troubles(plan_of("<d'' b'>4 <dis'' bis'>4 r2")) == ["CROWDED"]
    assert troubles(plan_of("<d'' b'>4 <dis'' bis'>4 r2", settings=able)) == ["CROWDED"]
    assert troubles(plan_of("<d'' c''>4 <dis'' cis''>4 r2")) == ["CROWDED"]
    assert troubles(plan_of("<d'' c''>4 <dis'' cis''>4 r2", settings=able)) == []


@pytest.mark.parametrize(("tempo", "found"), [(120, []), (121, ["HURRIED"]), (60, [])])
def test_two_moves_a_second(tempo: int, found: list[str]) -> None:
    """About two a second for one foot: [P] E. Volpé Bligh. Quarters at 120 are half a second."""
    assert troubles(plan_of(f"\\tempo 4={tempo} <f'' g''>4 fis'' gis'' r")) == found


def test_four_moves_a_second_with_two_on_each_side() -> None:
    """[P] E. Volpé Bligh: eighths at 120, the feet in turn; and no faster."""
    music = "4={} <c'' d'' f'' g''>8 cis'' fis'' dis'' gis'' r4."
    plan = plan_of(f"\\tempo {music.format(120)}")
    assert troubles(plan) == []
    assert sorted(foot_of(change.step) for change in plan.changes) == ["left", "left", "right", "right"]
    assert troubles(plan_of(f"\\tempo {music.format(126)}")) != []


def test_a_pedal_under_a_sounding_string_is_trouble_with_its_note() -> None:
    plan = plan_of("r2 cis''2", "c1")
    assert troubles(plan) == ["UNDER"]
    assert plan.difficulties[0].sounding is not None
    assert plan.difficulties[0].sounding.pitch.name == "C3"


def test_marks_in_the_source_are_kept_and_planned_around() -> None:
    """F♯ stands where we would not put it, and stays; G♯ is added."""
    plan = plan_of("f''4 e''_\"F#\" d'' c'' fis''2 gis''")
    assert told(plan) == ["1.2 F♯"]
    assert [change.written for change in plan.changes] == [True]
    plan = plan_of("<f'' g''>4 e''_\"F#\" d'' c'' fis''2 gis''")
    assert [(change.step, change.written) for change in plan.changes] == [(3, True), (4, False)]


def test_a_diagram_shows_the_start() -> None:
    plan = plan_of("c''1_\\markup \\harp-pedal \"--^|----\"")
    assert plan.shows_start
    assert spoken(plan.start) == "D♮ C♮ B♭ | E♮ F♮ G♮ A♮"


def test_a_glissando_uses_all_seven_letters() -> None:
    """[T]. Its setting is the key signature; E♭ and F♯ must go before it, in time."""
    plan = plan_of("\\key c \\major <es'' fis''>2 r2 c'2\\glissando c'''2 fis''1")
    assert spoken(plan.settings[plan.course.glissandos[0].first]) == "D♮ C♮ B♮ | E♮ F♮ G♮ A♮"
    assert told(plan) == ["1.3 E♮", "1.3 F♮", "2.3 F♯"]


def test_twins_in_a_glissando_are_normal() -> None:
    """A setting of twins (B♯ with C, E with F♭): [T]."""
    plan = plan_of("r4_\\markup \\harp-pedal \"^-v|-^--\" c'4\\glissando c'''2")
    assert troubles(plan) == []
    assert spoken(plan.course.glissandos[0].setting) == "D♭ C♮ B♯ | E♮ F♭ G♮ A♮"


def test_a_string_without_mechanism_needs_no_pedal() -> None:
    """C1 and D1: [P] E. Volpé Bligh."""
    assert troubles(plan_of("r2 cis''2", "c,,1")) == []
    assert troubles(plan_of("r2 cis''2", "c,1")) == ["UNDER"]
