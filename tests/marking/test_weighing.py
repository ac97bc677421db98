"""Levels and ``[rules]``: weights and nothing else, and what they do to the digits."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from lyfinger.choices import LEVELS as LEVEL_NAMES
from lyfinger.cli.options import build_parser
from lyfinger.cli.session import open_sessions
from lyfinger.config import Config, load_config
from lyfinger.fingering.model import Passage, Placed
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.marking.player import Player, player_of
from lyfinger.marking.weighing import LEVELS, did_you_mean, weights_of
from lyfinger.source.messages import Refused
from tests.fingering.music import explain_costs, passage, read
from tests.fingering.random_music import random_passage
from tests.whole.command import SAMPLES, TEACHING

RUNS = (
    "C4 D4 E4 F4 G4",
    "G4 F4 E4 D4 C4",
    "C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5",
    "C4 E4 D4 F4 E4 G4 F4 A4",
    "A4 F4 G4 E4 F4 D4 E4 C4",
    "C4 E4 G4 C5 E5 G5 E5 C5 G4 E4",
)
"""Runs, thirds and an arpeggio. Common practice, no source: a learner's hand does not slide, and sets fewer strings."""


def at_level(level: str) -> Player:
    return player_of(Config(level=level))


def slides(music: Passage, placed: Placed, finger: int, way: int) -> int:
    """How often a finger goes on to the neighbouring string in a direction."""
    singles = [
        (onset.strings[0], fingers[0]) if len(onset.strings) == 1 else None
        for onset, fingers in zip(music.onsets, placed.fingers, strict=True)
    ]
    return sum(
        before is not None and after is not None and before[1] == after[1] == finger and after[0] - before[0] == way
        for before, after in pairwise(singles)
    )


def strings_of_a_placing(music: Passage, placed: Placed) -> float:
    held: dict[int, set[int]] = {}
    for onset, placing in zip(music.onsets, placed.placings, strict=True):
        held.setdefault(placing, set()).update(onset.strings)
    return sum(len(strings) for strings in held.values()) / len(held)


def test_levels_are_weights_in_one_table() -> None:
    assert tuple(LEVELS) == LEVEL_NAMES
    assert LEVELS["standard"] == {}
    for weights in LEVELS.values():
        assert set(weights) <= set(WEIGHTS)
        assert all(weights[name] != WEIGHTS[name] for name in weights), "a level that names a rule changes it"


def test_the_standard_level_is_the_table() -> None:
    settings = player_of(Config()).settings
    assert all(settings.weight(name) == weight for name, weight in WEIGHTS.items())


@pytest.mark.parametrize("gap", [150, 220, 330])
@pytest.mark.parametrize("run", RUNS)
def test_a_learner_slides_no_ring_finger_and_sets_no_more_strings(run: str, gap: int) -> None:
    music = passage(run, gap)
    learner, standard = (at_level(level).place(music) for level in ("learner", "standard"))
    assert slides(music, learner, 4, 1) == 0
    assert strings_of_a_placing(music, learner) <= strings_of_a_placing(music, standard)


def test_a_learners_placings_are_shorter() -> None:
    """On five notes and on thirds shown, on random music in the mean; an advanced player's are no shorter."""
    assert read(at_level("standard").place(passage("G4 F4 E4 D4 C4", 180))) == "1 | 1 2 3 4"
    assert read(at_level("learner").place(passage("G4 F4 E4 D4 C4", 180))) == "1 2 3 | 1 2"
    thirds = passage("C4 E4 D4 F4 E4 G4 F4 A4", 180)
    assert read(at_level("learner").place(thirds)) == "2 1 | 2 1 | 2 1 | 2 1"
    mean = {}
    for level in LEVELS:
        rng = Random("levels")
        music = [random_passage(rng, 40) for _ in range(12)]
        mean[level] = sum(strings_of_a_placing(one, at_level(level).place(one)) for one in music)
    assert mean["learner"] < mean["standard"] <= mean["advanced"]


def test_a_learner_slides_no_ring_finger_in_a_whole_piece() -> None:
    """The teaching sample, in which the standard level slides 4 now and then."""
    options = build_parser().parse_args(["notes", str(SAMPLES / TEACHING[0])])
    (session,) = open_sessions(options, [options.file])
    passages = [solved.part.passage for solved in session.plan.passages]
    count, strings = {}, {}
    for level in ("learner", "standard"):
        player = player_of(session.config._replace(level=level))
        answers = [(music, player.place(music)) for music in passages]
        count[level] = sum(slides(music, placed, 4, 1) for music, placed in answers)
        strings[level] = sum(strings_of_a_placing(music, placed) for music, placed in answers)
    assert count["learner"] == 0 < count["standard"]
    assert strings["learner"] < strings["standard"]


def test_an_advanced_player_slides_at_least_as_much() -> None:
    rng = Random("slides")
    counts = dict.fromkeys(LEVELS, 0)
    for _ in range(12):
        music = random_passage(rng, 40)
        for level in LEVELS:
            placed = at_level(level).place(music)
            counts[level] += slides(music, placed, 1, -1) + slides(music, placed, 4, 1)
    assert counts["standard"] <= counts["advanced"]


@pytest.mark.parametrize("finger", [2, 3, 4])
def test_a_learner_slides_the_thumb_alone(finger: int) -> None:
    """Common practice of teaching: the thumb's slide is easy, the others' are tricky ([P] E. Volpé Bligh)."""
    thumbs = others = 0
    for seed in range(12):
        music = random_passage(Random(f"slides of {finger} {seed}"), 40)
        music = music._replace(onsets=tuple(o._replace(locks=(None,) * len(o.strings)) for o in music.onsets))
        placed = at_level("learner").place(music)
        thumbs += slides(music, placed, 1, -1)
        others += slides(music, placed, finger, 1)
    assert others == 0 < thumbs


def test_a_learner_would_rather_place_threes() -> None:
    """Twelve notes are four threes, not three fours; what four fingers are needed for stays. Common practice, no
    source; [P] S. Ballard for the octave in fours."""
    twelve = passage("C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5", 180)
    assert read(at_level("standard").place(twelve)) == "4 3 2 1 | 4 3 2 1 | 4 3 2 1"
    assert read(at_level("learner").place(twelve)) == "3 2 1 | 3 2 1 | 3 2 1 | 3 2 1"
    for level in LEVELS:
        assert read(at_level(level).place(passage("C4 D4 E4 F4 G4 A4 B4 C5", 180))) == "4 3 2 1 | 4 3 2 1"
        assert read(at_level(level).place(passage("C4 E4 G4 C5 G4 E4 C4", 180))) == "4 3 2 1 2 3 4"
        assert read(at_level(level).place(passage("C4-E4-G4-C5 C4 E4"))).startswith("4-3-2-1")
    assert WEIGHTS["four-string-placing"] == 0
    assert "four-string-placing" not in LEVELS["advanced"]


def test_rules_override_the_level() -> None:
    config = Config(level="learner", rules={"slide": 7, "hop": 0})
    assert dict(weights_of(config)) == {**LEVELS["learner"], "slide": 7, "hop": 0}


def cost_by_rule(rules: dict[str, int], music: Passage) -> tuple[dict[str, int], dict[str, int]]:
    player = player_of(Config(rules=rules))
    ledger = explain_costs(music, player.place(music), player.hand, player.settings)
    return ledger.by_rule(), ledger.units()


@pytest.mark.parametrize("rule", sorted(WEIGHTS))
def test_a_rule_that_is_off_costs_nothing(rule: str) -> None:
    rng = Random(f"off {rule}")
    for _ in range(2):
        cost, _ = cost_by_rule({rule: 0}, random_passage(rng, 25))
        assert cost.get(rule, 0) == 0


@pytest.mark.parametrize("rule", sorted(WEIGHTS))
def test_a_weight_raised_in_the_settings_never_raises_its_rules_count(rule: str) -> None:
    rng = Random(f"raised {rule}")
    music = random_passage(rng, 25)
    counts = [cost_by_rule({rule: weight}, music)[1].get(rule, 0) for weight in (0, 5, 50, 5000)]
    assert counts == sorted(counts, reverse=True)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[rules]\nhopp = 3", "lyfinger.toml:2:1: error: no rule of the search is called hopp; did you mean hop?"),
        (
            "[rules]\nhop = 3\n  Cross_Under = 3",
            "lyfinger.toml:3:3: error: no rule of the search is called Cross_Under; did you mean cross-under?",
        ),
        ("[rules]\nzzz = 3", "lyfinger.toml:2:1: error: no rule of the search is called zzz"),
        ("[rules]\nwide-chords = false", "lyfinger.toml:2:1: error: no rule of the search is called wide-chords"),
    ],
)
def test_a_rule_that_nobody_knows_is_refused_with_its_line(tmp_path: Path, text: str, line: str) -> None:
    (tmp_path / "lyfinger.toml").write_text(text)
    with pytest.raises(Refused) as refused:
        player_of(load_config(tmp_path / "lyfinger.toml", "lyfinger.toml"))
    assert str(refused.value) == line


def test_nothing_like_it_is_no_suggestion() -> None:
    assert did_you_mean("qqqq", WEIGHTS) == ""
