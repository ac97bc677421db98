"""Where a digit can stand without running into what follows; the typesetter is the referee."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from lyfinger.marking.digits import Digit, edits_of
from lyfinger.marking.side import DOWN, UP
from lyfinger.source.messages import Refused
from lyfinger.source.text import Place, SourceFile

from ..referee import engraver

#: Music with a bar ¦ where a digit is to go; whether the digit stays a number by itself there.
FOLLOWED_BY = [
    ("{ c4¦ d4 }", True),
    ("{ c4¦d4 }", True),
    ("{ c4¦}", True),
    ("{ <c¦ e>4 }", True),
    ("{ <c¦>4 }", True),
    ("{ c4¦-1 d }", True),
    ("{ c4¦^. d }", True),
    ("{ c4¦_2 d }", True),
    ("{ c4¦( d) }", True),
    ("{ c4¦~ c }", True),
    ("{ c4¦[ d] }", True),
    ("{ c4¦\\f d }", True),
    ("{ c4¦:32 d }", True),
    ("{ c4¦| d }", True),
    ("{ c4¦%{ x %} d }", True),
    ("{ c4¦ 8 d }", True),
    ("{ c¦4 d }", False),
    ("{ c4¦. d }", False),
    ("{ c4¦*2 d }", False),
    ("{ c4¦ *2 d }", False),
    ("{ c¦' d }", False),
    ("{ c¦, d }", False),
    ("{ c¦! d }", False),
    ("{ c¦? d }", False),
]


def _digit(music: str, finger: int = 1) -> Digit:
    file = SourceFile("music.ly", music.replace("¦", "").encode())
    return Digit(Place(file, 0), music.index("¦"), finger, UP)


@pytest.mark.parametrize(("music", "safe"), FOLLOWED_BY)
def test_safe_places(music: str, safe: bool) -> None:
    assert _digit(music).is_safe is safe


def test_the_typesetter_agrees(tmp_path: Path) -> None:
    """Each row engraved by itself: a safe digit is a finger 1 and the music goes through, an unsafe one is not."""
    score = "\n".join(
        f'#(display "<{row}>")\n\\void \\displayMusic {_marked(music)}' for row, (music, _) in enumerate(FOLLOWED_BY)
    )
    (tmp_path / "rows.ly").write_text(f'\\version "2.24.0"\n{score}\n', encoding="utf-8")
    result = engraver.run(["-s", "rows.ly"], folder=tmp_path)
    shown = re.split(r"<\d+>", result.stdout)[1:]
    assert len(shown) == len(FOLLOWED_BY)
    wrong_lines = {int(line) for line in re.findall(r"^rows\.ly:(\d+):\d+: error", result.stderr, re.MULTILINE)}
    for row, (music, safe) in enumerate(FOLLOWED_BY):
        finger = re.search(r"'digit\s+1\s*[)\n]", shown[row])
        assert (finger is not None and 2 * row + 3 not in wrong_lines) is safe, (music, shown[row])


def _marked(music: str) -> str:
    return music.replace("¦", "^1")


def test_edits_by_file() -> None:
    first, second = SourceFile("a.ly", b"c4 d4"), SourceFile("b.ly", b"e4")
    digits = [
        Digit(Place(first, 3), 5, 2, DOWN),
        Digit(Place(second, 0), 2, 4, UP),
        Digit(Place(first, 0), 2, 1, UP),
    ]
    assert {file.name: item.apply() for file, item in edits_of(digits).items()} == {
        "a.ly": b"c4^1 d4_2",
        "b.ly": b"e4^4",
    }


def test_two_digits_at_one_offset_are_an_internal_error() -> None:
    file = SourceFile("music.ly", b"{ c4 d4 }")
    with pytest.raises(Refused, match=r"internal error: two insertions at music\.ly:1:5; nothing is written"):
        edits_of([Digit(Place(file, 2), 4, 1, UP), Digit(Place(file, 2), 4, 2, UP)])
