"""The findings of a whole run: complete, in order, each once."""

from __future__ import annotations

from lyfinger.checking.findings import findings
from lyfinger.config import Config
from lyfinger.harp.hand import HANDS
from lyfinger.harp.profile import HARPS
from lyfinger.harp.reach import Reach
from lyfinger.marking.plan import make_plan

from ..score.sources import reading_of

REACH = Reach(HANDS["medium"], HARPS["pedal"])


def lines(text: str) -> list[str]:
    return [str(one) for one in findings(make_plan([reading_of(text, "part.ly")], Config()), REACH)]


def piano(upper: str, lower: str) -> str:
    return f"\\score {{ \\new PianoStaff << \\new Staff {{\n{upper}\n}} \\new Staff {{\n{lower}\n}} >> }}\n"


def test_a_finding_names_place_bar_and_rule() -> None:
    assert lines(piano("c'1\n<c' g''>1", "c1\nc1")) == [
        "part.ly:3:2: error: C4 to G5, a 12th, is beyond the right hand's reach: leave a note out, or roll it over "
        "both hands (bar 2) [reach]"
    ]


def test_what_the_search_met_and_a_rule_says_is_said_once() -> None:
    found = lines(piano("<c'-1 e'-2>2 <c'-2 e'-2>2", "c1"))
    assert [line.rsplit(" ", 1)[1] for line in found] == ["[crossed-fingers]", "[finger-twice]"]


def test_findings_are_in_order_of_place() -> None:
    found = lines(piano("fisis'2 <c' e' g' b' d''>2", "c2 d2\nb,,,1"))
    assert [line.split(":")[1:3] for line in found] == [["2", "1"], ["2", "10"], ["5", "1"]]


def test_music_used_twice_gives_a_finding_once() -> None:
    found = lines("bad = { fisis'1 }" + piano("\\bad \\bad", "c1 c1"))
    assert len(found) == 1


def test_good_music_has_none() -> None:
    assert lines(piano("<c' e' g'>2 c'4 d'", "<c e g>1")) == []


def test_drills_with_their_digits_have_none() -> None:
    """Turning over 2, 3 and 4: published drills (Telenn Vruk, lesson 15); locked, they must raise no finding."""
    drill = "e'8-1 d'-2 c'-1 b-2 a-3 r4. e'8-1 d'-2 c'-3 b-1 r2 f'8-1 e'-2 d'-3 c'-4 b-1 r4."
    assert lines(piano("r1 r1 r1", drill)) == []
