"""The configuration file: found, read, and refused in one line with its place."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from lyfinger.config import Config, find_config, load_config
from lyfinger.source.messages import Refused

MM = "must be a number of mm, %d to %d"
A_STRING = 'must be the name of a string, as "C4" for middle C'
NO_TEMPO = "tempo.default must be a number of quarters a minute, 1 to 1000"
NO_LEVEL = 'level must be "learner", "standard" or "advanced"'
NO_WEIGHT = "rules.{} must be a whole number from 0 (off) to 1000000, or false (off)"

OWN_NONSENSE = [
    ("[hand]\nsize = 'huge'", 'lyfinger.toml:2:1: error: hand.size must be "small", "medium" or "large"'),
    ("[hand]\nsize = 3", 'lyfinger.toml:2:1: error: hand.size must be "small", "medium" or "large"'),
    (
        "[hand]\nup = 'right'",
        "lyfinger.toml:2:1: error: unknown key hand.up (which hand plays a staff stands in [hands])",
    ),
    ("[hand]\nspan = 150", "lyfinger.toml:2:1: error: unknown key hand.span"),
    ("[hand]\nthumb_to_ring = 20", f"lyfinger.toml:2:1: error: hand.thumb_to_ring {MM % (80, 260)}"),
    ("[hand]\nthumb_to_ring = nan", f"lyfinger.toml:2:1: error: hand.thumb_to_ring {MM % (80, 260)}"),
    ("[hand]\nthumb_to_ring = true", f"lyfinger.toml:2:1: error: hand.thumb_to_ring {MM % (80, 260)}"),
    (
        "[hand]\nthumb_to_ring = 150\nsize = 'small'",
        "lyfinger.toml:3:1: error: hand.size must be left out where hand.thumb_to_ring is given",
    ),
    ("[hand.reach]\n1-2 = '120'", f"lyfinger.toml:2:1: error: hand.reach.1-2 {MM % (20, 260)}"),
    ("[hand.reach]\n1-2 = 120\n2-1 = 120", "lyfinger.toml:3:1: error: unknown key hand.reach.2-1"),
    ("[hand]\nreach = 120", "lyfinger.toml:2:1: error: hand.reach must be a section"),
    ("hand = { reach = { 1-5 = 120 } }", "lyfinger.toml:1:1: error: unknown key hand.reach.1-5"),
    (
        "[hand]\nthumb_to_ring = 150\n[hand.reach]\n1-4 = 150",
        "lyfinger.toml:4:1: error: hand.reach.1-4 must be left out where hand.thumb_to_ring is given",
    ),
    (
        "[hand.reach]\n2-4 = 60\n3-4 = 61",
        "lyfinger.toml:2:1: error: hand.reach.2-4 must be at least hand.reach.3-4",
    ),
    ("[harp]\nlowest = 'H1'", f"lyfinger.toml:2:1: error: harp.lowest {A_STRING}"),
    ("[harp]\nhighest = 47", f"lyfinger.toml:2:1: error: harp.highest {A_STRING}"),
    ("[harp]\nspacing = 15", "lyfinger.toml:2:1: error: harp.spacing must be a section"),
    ("[harp.spacing]\nC4 = 15\nc5 = 14", "lyfinger.toml:3:1: error: unknown key harp.spacing.c5"),
    ("[harp]\nfixed = 'C1'", 'lyfinger.toml:2:1: error: harp.fixed must be a list of strings, as ["C1"]'),
    ("[harp]\nfixed = ['H1']", 'lyfinger.toml:2:1: error: harp.fixed must be a list of strings, as ["C1"]'),
    ("[check]\nselect = 'leap'", "lyfinger.toml:2:1: error: check.select must be a list of rule names"),
    ("[check]\nignore = [1]", "lyfinger.toml:2:1: error: check.ignore must be a list of rule names"),
    ("[check]\nonly = ['leap']", "lyfinger.toml:2:1: error: unknown key check.only"),
    ("[harp.spacing]\nC4 = 1.5", f"lyfinger.toml:2:1: error: harp.spacing.C4 {MM % (10, 25)}"),
]

WHOLE = """\
hand = "small"
include = ["notes", "../house-style"]

[hands]
upper = "right"
"low notes" = "left"

[tempo]
default = 66.5

[harp]
profile = "lever-34"
"""


OWN = """\
[hand]
thumb_to_ring = 157.5

[hand.reach]
1-2 = 120
3-4 = 66

[harp]
profile = "lever-34"
lowest = "A1"
highest = "A6"
fixed = ["C2", "D2"]
[harp.spacing]
C2 = 15.2
C5 = 13.9
"""


def _load(tmp_path: Path, text: str | bytes) -> Config:
    path = tmp_path / "lyfinger.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return load_config(path, "lyfinger.toml")


def test_every_key(tmp_path: Path) -> None:
    config = _load(tmp_path, WHOLE)
    assert config.hand == "small"
    assert config.include == (tmp_path / "notes", tmp_path / "../house-style")
    assert config.hands == {"upper": "right", "low notes": "left"}
    assert config.tempo == Fraction(133, 2)
    assert config.harp == "lever-34"
    assert config.folder == tmp_path
    assert {key: str(place) for key, place in config.places.items()} == {
        "hand": "lyfinger.toml:1:1",
        "include": "lyfinger.toml:2:1",
        "hands": "lyfinger.toml:4:1",
        "hands.upper": "lyfinger.toml:5:1",
        "hands.low notes": "lyfinger.toml:6:1",
        "tempo": "lyfinger.toml:8:1",
        "tempo.default": "lyfinger.toml:9:1",
        "harp": "lyfinger.toml:11:1",
        "harp.profile": "lyfinger.toml:12:1",
    }


def test_an_empty_file_gives_the_defaults(tmp_path: Path) -> None:
    config = _load(tmp_path, "")
    assert (config.hand, config.include, config.hands, config.tempo, config.harp) == ("medium", (), {}, None, "pedal")


def test_a_hand_and_a_harp_of_ones_own(tmp_path: Path) -> None:
    config = _load(tmp_path, OWN)
    assert (config.hand, config.hand_span, config.hand_reach) == ("medium", 157_500, {"1-2": 120_000, "3-4": 66_000})
    assert (config.harp, config.lowest, config.highest) == ("lever-34", "A1", "A6")
    assert config.fixed == ("C2", "D2")
    assert config.spacing == {"C2": 15_200, "C5": 13_900}
    assert str(config.places["hand.reach.1-2"]) == "lyfinger.toml:5:1"
    assert str(config.places["harp.spacing.C5"]) == "lyfinger.toml:15:1"


def test_rules_of_the_check(tmp_path: Path) -> None:
    config = _load(tmp_path, "[check]\nselect = ['leap', 'reach']\n")
    assert (config.select, config.ignore) == (("leap", "reach"), ())
    assert str(config.places["check.select"]) == "lyfinger.toml:2:1"
    assert _load(tmp_path, "[check]\nignore = ['leap']\n").ignore == ("leap",)


def test_a_hand_in_one_line(tmp_path: Path) -> None:
    assert _load(tmp_path, 'hand.size = "large"').hand == "large"
    config = _load(tmp_path, "hand = { reach = { 1-4 = 140, 1-2 = 110 } }")
    assert (config.hand_span, config.hand_reach) == (140_000, {"1-2": 110_000})
    config = _load(tmp_path, "hand = { size = 'small', reach = { 1-4 = 140 } }")
    assert (config.hand, config.hand_span, config.hand_reach) == ("small", None, {"1-4": 140_000})


@pytest.mark.parametrize(
    ("text", "line"),
    [
        *OWN_NONSENSE,
        ('hand = "huge"', 'lyfinger.toml:1:1: error: hand must be "small", "medium" or "large"'),
        ("\nhand = 3", "lyfinger.toml:2:1: error: hand must be a string or a section"),
        ("hnad = 'small'", "lyfinger.toml:1:1: error: unknown key hnad"),
        ("[hands]\nupper = 'up'", 'lyfinger.toml:2:1: error: hands.upper must be "right" or "left"'),
        ("[hands]\n  upper = 1", 'lyfinger.toml:2:3: error: hands.upper must be "right" or "left"'),
        ("[hands]\nstaves = [1]", "lyfinger.toml:2:1: error: hands.staves must be a list of names"),
        ("[hands]\nstaves = ['']", "lyfinger.toml:2:1: error: hands.staves must be a list of names"),
        ("[hands]\nstaves = 1", 'lyfinger.toml:2:1: error: hands.staves must be "right" or "left"'),
        ("hands = 'right'", "lyfinger.toml:1:1: error: hands must be a section"),
        ("[tempo]\ndefault = 0", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[tempo]\ndefault = nan", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[tempo]\ndefault = true", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[hands]\na = 'left'\n[tempo]\na = 1", "lyfinger.toml:4:1: error: unknown key tempo.a"),
        ("[harp]\nprofile = 34", "lyfinger.toml:2:1: error: harp.profile must be a string"),
        ("[harps]\nprofile = 34", "lyfinger.toml:1:1: error: unknown key harps"),
        ('level = "expert"', f"lyfinger.toml:1:1: error: {NO_LEVEL}"),
        ("[rules]\nhop = true", f"lyfinger.toml:2:1: error: {NO_WEIGHT.format('hop')}"),
        ("[rules]\nhop = 1.5", f"lyfinger.toml:2:1: error: {NO_WEIGHT.format('hop')}"),
        ("[rules]\nhop = -1", f"lyfinger.toml:2:1: error: {NO_WEIGHT.format('hop')}"),
        ("[rules]\nhop = 1_000_001", f"lyfinger.toml:2:1: error: {NO_WEIGHT.format('hop')}"),
        ("[rules]\nhop = 'off'", f"lyfinger.toml:2:1: error: {NO_WEIGHT.format('hop')}"),
        ("rules = 3", "lyfinger.toml:1:1: error: rules must be a section"),
        ("include = 'notes'", "lyfinger.toml:1:1: error: include must be a list of directories"),
        ("include = ['notes', 3]", "lyfinger.toml:1:1: error: include must be a list of directories"),
        (b"hand = 'small' # caf\xe9", "lyfinger.toml:1:21: error: this is not UTF-8"),
    ],
)
def test_nonsense_is_refused_with_its_line(tmp_path: Path, text: str | bytes, line: str) -> None:
    with pytest.raises(Refused) as refused:
        _load(tmp_path, text)
    assert str(refused.value) == line


@pytest.mark.parametrize(
    ("text", "place"),
    [("hand =", "1:"), ("[hands\n", "1:"), ("a = 1\na = 2\n", "2:"), ('hand = "small', "1:"), ("=", "1:1")],
)
def test_broken_syntax_is_refused_with_its_line(tmp_path: Path, text: str, place: str) -> None:
    with pytest.raises(Refused) as refused:
        _load(tmp_path, text)
    assert str(refused.value).startswith(f"lyfinger.toml:{place}")
    assert "\n" not in str(refused.value)


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        load_config(tmp_path / "nothing.toml", "nothing.toml")
    assert str(refused.value) == "lyfinger: can't read nothing.toml: No such file or directory"


def test_the_nearest_file_above_is_found(tmp_path: Path) -> None:
    deep = tmp_path / "scores" / "harp"
    deep.mkdir(parents=True)
    assert find_config(deep) in (None, find_config(tmp_path))
    (tmp_path / "lyfinger.toml").touch()
    assert find_config(deep) == tmp_path / "lyfinger.toml"
    (tmp_path / "scores" / "lyfinger.toml").touch()
    assert find_config(deep) == tmp_path / "scores" / "lyfinger.toml"
    (deep / "lyfinger.toml").mkdir()
    assert find_config(deep) == tmp_path / "scores" / "lyfinger.toml"


def test_a_level_and_weights_for_rules(tmp_path: Path) -> None:
    config = _load(tmp_path, 'level = "learner"\n[rules]\nhop = 40\nslide = false\ncross-under = 0\n')
    assert (config.level, config.rules) == ("learner", {"hop": 40, "slide": 0, "cross-under": 0})
    assert str(config.places["rules.slide"]) == "lyfinger.toml:4:1"
    assert (Config().level, Config().rules) == ("standard", {})


def test_the_harps_staves_are_a_list_beside_the_hands(tmp_path: Path) -> None:
    path = tmp_path / "lyfinger.toml"
    path.write_text("[hands]\nstaves = ['Harp*', 'up']\nup = 'left'\n", encoding="utf-8")
    config = load_config(path)
    assert (config.staves, config.hands) == (("Harp*", "up"), {"up": "left"})
    path.write_text("[hands]\nstaves = 'right'\n", encoding="utf-8")
    assert (load_config(path).staves, load_config(path).hands) == ((), {"staves": "right"})


def test_pedals(tmp_path: Path) -> None:
    path = tmp_path / "lyfinger.toml"
    path.write_text('[pedals]\ndiagrams = ["\\\\harpSetting"]\nchanges = ["pedal-move"]\nneighbours = true\n')
    config = load_config(path)
    assert config.pedal_diagrams == ("harpSetting",)
    assert config.pedal_changes == ("pedal-move",)
    assert config.pedal_neighbours


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[pedals]\ndiagrams = ["a b"]', "pedals.diagrams must be a list of markup commands"),
        ("[pedals]\nchanges = [1]", "pedals.changes must be a list of markup commands"),
        ("[pedals]\nneighbours = 1", "pedals.neighbours must be true or false"),
        ('[harp]\ntuning = "es"', 'harp.tuning must be the major key that a lever harp is tuned in, as "Eb"'),
    ],
)
def test_what_pedals_refuse(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "lyfinger.toml"
    path.write_text(text)
    with pytest.raises(Refused, match=re.escape(message)):
        load_config(path)
