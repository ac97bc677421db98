r"""Slides and crossings at the digits: where they are drawn, in which form, and that the typesetter takes them.

The figures are published: five notes (E. Volpé Bligh, *Writing for the Pedal Harp*), an octave (S. Ballard). That the
typesetter joins what it is to join is its own word: it warns of a glide that begins or ends nowhere.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.referee.engraver import run
from tests.referee.events import played
from tests.whole.command import lyfinger, marked

SOURCE = '\\version "2.24.0"\n%s\\new Staff = "RH" { \\tempo 4 = 100 %s }\n'
UNDER, OVER = '^\\finger\\markup\\undertie" %d "', '^\\finger\\markup\\overtie" %d "'
BOTH = ("--slides", "--crossings")


def _marked(notes: str, *options: str, variable: str = "") -> str:
    text = marked((SOURCE % (variable, notes)).encode(), *options).decode()
    return text.partition("= 100 ")[2].removesuffix(" }\n")


ROWS = {
    "five down": ("c''16 b' a' g' f'4", "c''16-\\glide^1 b'^1 a'^2 g'^3 f'4^4"),
    "five up": ("c'16 d' e' f' g'4", "c'16-\\glide^4 d'^4 e'^3 f'^2 g'4^1"),
    "octave up": (
        "c'8 d' e' f' g' a' b' c''",
        f"c'8^4 d'^3 e'^2 f'^1 g'{UNDER % 4} a'^3 b'^2 c''^1",
    ),
    "octave down": (
        "c''8 b' a' g' f' e' d' c'",
        f"c''8^1 b'^2 a'^3 g'^4 f'{OVER % 1} e'^2 d'^3 c'^4",
    ),
    "locked digits": (
        "c''16^1 b'-1 a' g'_3 f'4 r2 c'8 d' e' f'^1( g'^4) a' b' c''",
        "c''16-\\glide^1 b'-1 a'^2 g'_3 f'4^4 r2 "
        f"c'8^4 d'^3 e'^2 f'^1( g'{UNDER % 4}) a'^3 b'^2 c''^1",
    ),
    "a digit with a tweak is left as it is": (
        "c''16^1 b'-\\tweak color #red -1 a'^2 g'^3 f'4^4",
        "c''16^1 b'-\\tweak color #red -1 a'^2 g'^3 f'4^4",
    ),
    "a slide of the user's own": (
        "c''16\\glide ^1 b'^1 a'^2 g'^3 f'4^4",
        "c''16\\glide ^1 b'^1 a'^2 g'^3 f'4^4",
    ),
    "from grace note to grace note": (
        "\\grace { c''16 b' a' g' } f'4",
        "\\grace { c''16-\\glide^1 b'^1 a'^2 g'^3 } f'4^4",
    ),
    "none into another voice": (
        "<< { c''16^1 b'^1 a'^2 g'^3 } \\new Voice { s4 e'16^4 } >>",
        "<< { c''16-\\glide^1 b'^1 a'^2 g'^3 } \\new Voice { s4 e'16^4 } >>",
    ),
    "none after a rest": ("c''8^1 r b'^1 a'^2", "c''8^1 r b'^1 a'^2"),
}  # fmt: skip


@pytest.mark.parametrize(("notes", "wanted"), ROWS.values(), ids=list(ROWS))
def test_signs_stand_where_the_hand_slides_or_crosses(notes: str, wanted: str, tmp_path: Path) -> None:
    assert _marked(notes, *BOTH) == wanted
    assert _marked(wanted, *BOTH) == wanted, "they are seen as there already"
    path = tmp_path / "marked.ly"
    path.write_text(SOURCE % ("", wanted))
    log = run(["--loglevel=WARNING", "-dno-print-pages", "-o", tmp_path / "page", path], folder=tmp_path)
    assert (log.returncode, log.stderr) == (0, "")


@pytest.mark.parametrize("notes", ["c''16 b' a' g' f'4 r2 c''8 b' a' g' f' e' d' c'"])
def test_the_notes_and_their_digits_stay_what_they_are(notes: str, tmp_path: Path) -> None:
    """By the typesetter's events."""
    heard = []
    for name, options in (("plain", ()), ("signs", BOTH)):
        path = tmp_path / f"{name}.ly"
        path.write_bytes(marked((SOURCE % ("", notes)).encode(), *options))
        (score,) = played(path)
        heard.append([(note.moment, note.octave, note.step) for note in score.notes])
    assert heard[0] == heard[1]
    assert len(heard[0]) == 13


def test_digits_of_a_slide_are_printed_at_any_density() -> None:
    assert _marked("c''16 b' a' g' f'4", "--density", "needed", "--slides") == "c''16-\\glide^1 b'^1 a' g' f'4"
    again = "c''16-\\glide^1 b'^1 a' g' f'4"
    assert _marked(again, "--density", "needed", "--slides") == again


def test_a_note_that_sounds_twice_gets_a_sign_only_where_its_soundings_agree() -> None:
    source = SOURCE % ("tune = { %s }\n", "%s")
    alike = source % ("c''16 b' a' g' f'4 r2", "\\tune \\tune")
    assert b"c''16-\\glide^1 b'^1 a'^2" in marked(alike.encode(), "--slides")
    unlike = source % ("c''4^1", "\\tune b'4^1 a'4^2 \\tune d''4^1 r")
    assert b"\\glide" not in marked(unlike.encode(), "--slides")
    crossed = source % ("g'8^4 a'^3", "\\tune r4 c'8^4 d'^3 e'^2 f'^1 \\tune b'^2 c''^1 r4")
    assert b"undertie" not in marked(crossed.encode(), "--crossings")


def test_no_arc_beside_the_heads_of_a_chord() -> None:
    notes = "c''16 b' a' g' <c' e' a'>4"
    assert "overtie" in _marked(notes, "--crossings")
    assert "overtie" not in _marked(notes, "--crossings", "--chords", "left")


def test_only_chosen_bars_get_signs() -> None:
    notes = "c''16 b' a' g' f'4 r2 | c''16 b' a' g' f'4 r2"
    assert _marked(notes, "--slides", "--bars", "2").count("\\glide") == 1


def test_settings_ask_for_them_too(tmp_path: Path) -> None:
    (tmp_path / "lyfinger.toml").write_text("[print]\nslides = true\ncrossings = true\n")
    (tmp_path / "part.ly").write_text(SOURCE % ("", "c''16 b' a' g' f'4 r2 c'8 d' e' f' g' a' b' c''"))
    done = lyfinger("mark", "part.ly", folder=tmp_path)
    assert done.status == 0
    assert b"\\glide" in done.out
    assert b"undertie" in done.out
