"""The configuration file: found, read, and refused in one line with its place."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from lyfinger.config import Config, find_config, load_config
from lyfinger.source.messages import Refused

NO_TEMPO = "tempo.default must be a number of quarters a minute, 1 to 1000"

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


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('hand = "huge"', 'lyfinger.toml:1:1: error: hand must be "small", "medium" or "large"'),
        ("\nhand = 3", "lyfinger.toml:2:1: error: hand must be a string"),
        ("hnad = 'small'", "lyfinger.toml:1:1: error: unknown key hnad"),
        ("[hands]\nupper = 'up'", 'lyfinger.toml:2:1: error: hands.upper must be "right" or "left"'),
        ("[hands]\n  upper = 1", 'lyfinger.toml:2:3: error: hands.upper must be "right" or "left"'),
        ("hands = 'right'", "lyfinger.toml:1:1: error: hands must be a section"),
        ("[tempo]\ndefault = 0", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[tempo]\ndefault = nan", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[tempo]\ndefault = true", f"lyfinger.toml:2:1: error: {NO_TEMPO}"),
        ("[hands]\na = 'left'\n[tempo]\na = 1", "lyfinger.toml:4:1: error: unknown key tempo.a"),
        ("[harp]\nprofile = 34", "lyfinger.toml:2:1: error: harp.profile must be a string"),
        ("[harps]\nprofile = 34", "lyfinger.toml:1:1: error: unknown key harps"),
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
