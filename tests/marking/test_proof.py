"""The proof before writing lets nothing through but the wanted digits."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from lyfinger.marking.digits import Digit, edits_of
from lyfinger.marking.proof import Again, Changed, Unchanged, outcomes, refuse_unless_same_music
from lyfinger.marking.side import UP
from lyfinger.reading.reader import read
from lyfinger.score.model import Reading, Score
from lyfinger.source.edits import Edits
from lyfinger.source.library import Library
from lyfinger.source.messages import Message, Refused, Severity
from lyfinger.source.text import Place, SourceFile

MUSIC = b"\\version \"2.24.0\"\n\\new Staff = \"RH\" { c'4 <d' f'-2>4 e'4-3 g' }\n"


class _Case:
    """One file, a digit for its first and for its last note, and the reading of what comes of that."""

    def __init__(self, written: bytes | None = None) -> None:
        library = Library()
        root = library.stdin(MUSIC)
        self.before = read(root, library)
        sources = [note.source for note in self.before.scores[0].notes]
        chosen = [Digit(source.place, source.insert_at, 1, UP) for source in (sources[0], sources[-1])]
        self.digits = {digit.note: digit for digit in chosen}
        self.edits = edits_of(chosen)
        output = written if written is not None else self.edits[root].apply()
        twin, files = library.twin({root: output})
        self.again = Again(read(twin.reopen(files[root]), twin), files)

    def prove(self) -> None:
        refuse_unless_same_music(self.before, self.again, self.digits, self.edits)

    @property
    def score(self) -> Score:
        return self.again.reading.scores[0]


def test_the_wanted_digits_pass() -> None:
    case = _Case()
    case.prove()
    assert [note.source.finger for note in case.score.notes] == [1, None, 2, 3, 1]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"c'4^1", b"c'4^2"),  # another digit
        (b"c'4^1", b"c'4^1-2"),  # two
        (b"c'4^1", b"c'4   "),  # none
        (b"c'4^1", b"d'4^1"),  # another note
        (b"c'4^1", b"c'8^1"),  # another duration
        (b"<d' f", b"<d'-4 f"),  # a digit more
        (b"f'-2>", b"f'-4>"),  # a locked digit changed
        (b"f'-2>", b"f'>  "),  # a locked digit gone
        (b"e'4-3", b"r'4-3"),  # a note fewer
        (b"g'^1", b"g'^1 g'"),  # a note more
        (b'\\new Staff = "RH"', b'\\new Staff = "LH"'),
    ],
)
def test_any_other_music_is_refused(old: bytes, new: bytes) -> None:
    marked = MUSIC.replace(b"c'4 ", b"c'4^1 ").replace(b"g' ", b"g'^1 ")
    assert _Case().again.reading.root.data == marked
    changed = marked.replace(old, new)
    assert changed != marked
    case = _Case(changed)
    with pytest.raises(Refused, match=r"internal error: .*; nothing is written$"):
        case.prove()


def _change_note(**fields: object) -> Callable[[_Case], None]:
    def change(case: _Case) -> None:
        case.score.notes[1] = case.score.notes[1]._replace(**fields)  # type: ignore[arg-type]

    return change


def _add_message(case: _Case) -> None:
    place = Place(case.again.reading.root, 0)
    case.again.reading.messages.append(Message(Severity.WARNING, place, "not followed", "passage-not-followed"))


@pytest.mark.parametrize(
    "change",
    [
        _change_note(moment=Fraction(1, 2)),
        _change_note(grace=Fraction(-1, 8)),
        _change_note(duration=Fraction(1, 2)),
        _change_note(staff=7),
        _change_note(home=7),
        _change_note(voice=7),
        _change_note(plucked=False),
        _change_note(side=-1),
        _change_note(marks=frozenset({"accent"})),
        _change_note(order=99),
        _add_message,
        lambda case: case.again.reading.scores.clear(),
        lambda case: case.score.notes.pop(),
    ],
)
def test_any_difference_between_the_readings_is_refused(change: Callable[[_Case], None]) -> None:
    case = _Case()
    change(case)
    with pytest.raises(Refused, match="internal error"):
        case.prove()


def test_outcomes() -> None:
    marked, plain = SourceFile("a.ly", b"c4 d"), SourceFile("b.ly", b"e4 f")
    edits = edits_of([Digit(Place(marked, 0), 2, 1, UP)])
    assert outcomes([marked, plain], edits) == {marked: Changed(marked, b"c4^1 d", 1), plain: Unchanged(plain)}


def test_a_lossy_application_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    file = SourceFile("a.ly", b"c4\r\nd")
    edits = edits_of([Digit(Place(file, 0), 2, 1, UP)])
    apply = Edits.apply
    monkeypatch.setattr(Edits, "apply", lambda self: apply(self).replace(b"\r\n", b"\n"))
    with pytest.raises(Refused, match=r"internal error: a\.ly would be changed beyond the digits; nothing is written"):
        outcomes([file], edits)


def test_a_reading_proves_itself() -> None:
    case = _Case(MUSIC)
    refuse_unless_same_music(case.before, case.again, {}, {})
    assert isinstance(case.before, Reading)
