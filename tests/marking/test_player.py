"""The player that a configuration describes: a hand by size or measured, a harp by name or in numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.config import Config, load_config
from lyfinger.harp.hand import MEDIUM, PAIRS, SMALL, HandProfile
from lyfinger.harp.profile import HARPS
from lyfinger.marking.plan import make_plan
from lyfinger.marking.player import Player, player_of
from lyfinger.score.pitch import string_name
from lyfinger.source.messages import Refused

from ..score.sources import reading_of


def player(folder: Path, text: str) -> Player:
    return player_of(config(folder, text))


def config(folder: Path, text: str) -> Config:
    (folder / "lyfinger.toml").write_text(text, encoding="utf-8")
    return load_config(folder / "lyfinger.toml", "lyfinger.toml")


def greatest(hand: HandProfile) -> dict[tuple[int, int], int]:
    return dict(zip(PAIRS, (spread.greatest for spread in hand.spreads), strict=True))


def test_without_settings_a_medium_hand_on_a_concert_harp() -> None:
    found = player_of(Config())
    assert (found.hand, found.settings.harp) == (MEDIUM, HARPS["pedal"])


def test_a_measured_span_sets_every_pair_in_proportion(tmp_path: Path) -> None:
    hand = player(tmp_path, "hand.thumb_to_ring = 126").hand
    assert hand.reach == 126_000
    assert (hand.scale, hand.spreads) == (SMALL.scale, SMALL.spreads)


def test_a_measured_pair_changes_only_itself(tmp_path: Path) -> None:
    hand = player(tmp_path, "[hand.reach]\n1-2 = 100\n").hand
    assert greatest(hand) == greatest(MEDIUM) | {(1, 2): 100_000}
    old, new = MEDIUM.spreads[0], hand.spreads[0]
    assert new.easy * old.greatest == pytest.approx(old.easy * new.greatest, rel=1e-4)
    assert hand.scale == MEDIUM.scale


def test_a_measured_outer_pair_is_the_hand(tmp_path: Path) -> None:
    """Thumb and ring finger alone say how large the hand is; beside a size they are one pair of six."""
    assert player(tmp_path, "[hand.reach]\n1-4 = 126\n").hand.spreads == SMALL.spreads
    sized = player(tmp_path, "[hand]\nsize = 'small'\n[hand.reach]\n1-4 = 140\n").hand
    assert greatest(sized) == greatest(SMALL) | {(1, 4): 140_000}


def test_no_pair_reaches_further_than_the_hand(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        player(tmp_path, "hand.size = 'small'\n[hand.reach]\n1-3 = 130\n")
    assert str(refused.value) == (
        "lyfinger.toml:3:1: error: hand.reach.1-3 is more than thumb and ring finger reach (126 mm)"
    )


def test_a_harp_in_numbers(tmp_path: Path) -> None:
    harp = player(tmp_path, "[harp]\nlowest = 'G2'\nhighest = 'C7'\n[harp.spacing]\nC6 = 12.5\nG2 = 15\n").settings.harp
    assert (string_name(harp.lowest), string_name(harp.highest)) == ("G2", "C7")
    assert [harp.spacing_at(string) for string in (harp.lowest, 30, harp.highest)] == [15_000, 13_750, 12_500]


def test_numbers_stand_in_for_those_of_the_profile(tmp_path: Path) -> None:
    base = HARPS["lever-34"]
    harp = player(tmp_path, "[harp]\nprofile = 'lever-34'\nlowest = 'A1'\n").settings.harp
    assert (string_name(harp.lowest), harp.highest, harp.spacing) == ("A1", base.highest, base.spacing)


def test_strings_without_a_mechanism(tmp_path: Path) -> None:
    """C1 and D1; on some harps G7 ([P] E. Volpé Bligh), which the player says."""

    def fixed(text: str) -> list[str]:
        return [string_name(string) for string in player(tmp_path, text).settings.harp.fixed]

    assert fixed("") == fixed("[harp]\nlowest = 'C1'\n") == ["C1", "D1"]
    assert fixed("[harp]\nfixed = ['G7', 'C1', 'D1']\n") == ["C1", "D1", "G7"]
    assert fixed("[harp]\nhighest = 'G7'\nfixed = []\n") == fixed("[harp]\nprofile = 'lever-34'\n") == []


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[harp]\nprofile = 'zither'", "lyfinger.toml:2:1: error: harp.profile must be one of pedal, small-pedal, "),
        (
            "[harp]\nlowest = 'C4'\nhighest = 'C4'",
            "lyfinger.toml:3:1: error: harp.lowest must be a lower string than harp.highest",
        ),
        ("[harp]\nlowest = 'G7'", "lyfinger.toml:2:1: error: harp.lowest must be a lower string than harp.highest"),
    ],
)
def test_a_harp_that_cannot_be(tmp_path: Path, text: str, line: str) -> None:
    with pytest.raises(Refused) as refused:
        player(tmp_path, text)
    assert str(refused.value).startswith(line)


def test_the_measured_hand_is_the_one_that_is_fingered_for(tmp_path: Path) -> None:
    """A small hand takes a 4th 3–1 ([T]), and by 126 mm from thumb to ring finger it is small."""
    reading = reading_of("\\new Staff = RH { <c' f'>1 }")

    def fingers(text: str) -> list[tuple[int | None, ...]]:
        plan = make_plan([reading], config(tmp_path, text))
        return [digits for item in plan.passages for digits in item.answer.fingers]

    assert fingers("") == [(2, 1)]
    assert fingers("hand.thumb_to_ring = 126") == fingers("hand = 'small'") == [(3, 1)]
    assert fingers("[hand]\nthumb_to_ring = 126\n[harp.spacing]\nC4 = 12.5\n") == [(2, 1)]
