"""A part of the music is marked as the whole would be. The music is invented."""

from __future__ import annotations

import pytest

from lyfinger.config import Config
from lyfinger.marking.excerpt import Excerpt
from lyfinger.marking.plan import Plan, make_plan
from lyfinger.source.messages import Message, Refused, Severity
from tests.score.sources import reading_of

SOURCE = r"""\version "2.24.0"
twice = { e'8 g' c'' g' }
\score { \new PianoStaff \with { instrumentName = "Harp" } <<
  \new Staff = "upper" {
    c'8 e' g' c'' \twice | << { e''8 d'' c'' b' c''2 } \\ { g'4 f' e'2 } >> |
    \grace { c''16 d'' } e''4 c'' \twice | c''1
  }
  \new Staff = "lower" { \clef bass c8 e g c' g e c4 | c1 | f8 a c' a f c f,4 | c1 }
>> }
"""


def plan_of(excerpt: Excerpt, config: Config | None = None) -> Plan:
    return make_plan([reading_of(SOURCE)], config or Config(), (), excerpt)


def digits(plan: Plan) -> dict[int, str]:
    return {place.offset: digit.text for place, digit in plan.digits.items()}


WHOLE = digits(plan_of(Excerpt()))

#: What is selected, and the words of the source that get digits.
CHOSEN = [
    (Excerpt(bars=(2, 2)), ["e''", "d''", "c''", "b'", "c''", "g'", "f'", "e'", "c"]),
    (Excerpt(bars=(2, 3), staves=("lower",)), ["c", "f", "a", "c'", "a", "f", "c", "f,"]),
    (Excerpt(bars=(3, 3), staves=("UPPER",)), ["e'", "g'", "c''", "g'", "c''", "d''", "e''", "c''"]),
    (Excerpt(voices=("2",)), ["g'", "f'", "e'"]),
    (Excerpt(voices=("1", "2"), bars=(2, 4)), ["e''", "d''", "c''", "b'", "c''", "g'", "f'", "e'"]),
    (Excerpt(bars=(4, 9)), ["c''", "c"]),
]


@pytest.mark.parametrize(("excerpt", "words"), CHOSEN, ids=str)
def test_what_is_chosen_gets_the_digits_of_a_whole_marking(excerpt: Excerpt, words: list[str]) -> None:
    found = digits(plan_of(excerpt))
    assert found.items() <= WHOLE.items()
    told = [SOURCE[offset:].split()[0] for offset in sorted(found)]
    assert ["".join(char for char in word if char.isalpha() or char in "',") for word in told] == words


def test_every_selection_leaves_something_out() -> None:
    assert all(len(digits(plan_of(excerpt))) < len(WHOLE) for excerpt, _ in CHOSEN)


def test_staves_of_the_settings_are_marked_alone_where_there_are_any() -> None:
    lower = digits(plan_of(Excerpt(), Config(staves=("lower",))))
    assert lower == digits(plan_of(Excerpt(staves=("lower",))))
    assert digits(plan_of(Excerpt(), Config(staves=("zither",)))) == WHOLE
    assert digits(plan_of(Excerpt(staves=("upper",)), Config(staves=("lower",)))).keys().isdisjoint(lower)


@pytest.mark.parametrize(
    ("excerpt", "line"),
    [
        (
            Excerpt(staves=("uper",)),
            'lyfinger: no staff is called "uper"; there is upper, Harp, lower, twice',
        ),
        (Excerpt(staves=("upper", "Flute*")), 'lyfinger: no staff is called "Flute*"; there is '),
        (Excerpt(voices=("3",)), 'lyfinger: no voice is called "3"; there is '),
        (Excerpt(bars=(5, 7)), "lyfinger: no note stands in bars 5 to 7; the notes stand in bars 1 to 4"),
        (Excerpt(bars=(0, 0)), "lyfinger: no note stands in bar 0; the notes stand in bars 1 to 4"),
    ],
    ids=str,
)
def test_what_chooses_nothing_is_refused_with_what_there_is(excerpt: Excerpt, line: str) -> None:
    with pytest.raises(Refused) as refused:
        excerpt.refuse_unknown(excerpt.heard(plan_of(excerpt).scores))
    said = str(refused.value)
    assert said.startswith(line.split(" there is")[0])
    assert set(line.partition(" there is ")[2].split(", ")) <= {"", *said.partition(" there is ")[2].split(", ")}


def test_messages_about_the_rest_are_left_out() -> None:
    plan = plan_of(Excerpt(bars=(2, 2), staves=("lower",)))
    (score,) = plan.scores
    at = {(score.staves[note.staff].label, score.bar_at(note.moment).number): note.source.place for note in score.notes}
    told = [Message(Severity.WARNING, place, f"{staff} {bar}", "reach", bar=bar) for (staff, bar), place in at.items()]
    anywhere = Message(Severity.WARNING, score.place, "elsewhere", "passage-not-followed")
    found = [message.text for message in plan.excerpt.of([*told, anywhere], plan.scores)]
    assert found == ["lower 2", "elsewhere"]
    assert list(Excerpt().of(told, plan.scores)) == told
