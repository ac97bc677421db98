"""Every rule of the check with music that it must speak of and music that it must not. Beside each its source; the
music is invented."""

from __future__ import annotations

import inspect
import re
from fractions import Fraction

import pytest

from lyfinger.checking.draft import CAUTION, NO_SETTINGS, Draft
from lyfinger.checking.registry import RULES, Rule
from lyfinger.fingering.settings import Settings
from lyfinger.hands.assign import assign
from lyfinger.harp.hand import HANDS
from lyfinger.harp.profile import HARPS
from lyfinger.harp.reach import Reach
from lyfinger.marking.joint import solve_jointly
from lyfinger.marking.passages import plan
from lyfinger.marking.player import Player
from lyfinger.score.pitch import Pitch, respellings
from lyfinger.score.tempo import pace
from lyfinger.source.messages import Message, Severity

from ..score.sources import reading_of
from . import cases, pedal_cases

LEVER = Reach(HANDS["medium"], HARPS["lever-34"])
MEDIUM = Reach(HANDS["medium"], HARPS["pedal"])
HARP = "\\new PianoStaff << \\new Staff { %s } \\new Staff { %s } >>"


def draft(upper: str, lower: str = "s1", reach: Reach = MEDIUM) -> Draft:
    return draft_of(f"\\score {{ {HARP % (upper, lower)} }}", reach)


def draft_of(text: str, reach: Reach = MEDIUM) -> Draft:
    scores = [(score, assign(score, {})) for score in reading_of(text).scores]
    passages = plan([(score, hands, pace(score)) for score, hands in scores]).passages
    player = Player(reach.hand, Settings(harp=reach.harp))
    return Draft.of(scores, passages, reach, solve_jointly([item.passage for item in passages], player.place))


def ask(rule: str, of: Draft) -> list[Message]:
    return list(next(one for one in RULES if one.name == rule).find(of))


#: A figure, half a bar: twice with digits, a sixth higher, in another rhythm, and bare.
ONE_WAY = "c'8-3 e'-2 g'-1 r8"
ANOTHER = "c'8-4 e'-3 g'-2 r8"
BAR = "c'4-3 e'-2 g'-1 e'-2"
OTHER_BAR = "c'4-4 e'-3 g'-2 e'-3"
HIGHER = "a'8-4 c''-3 e''-2 r8"
OTHER_RHYTHM = "c'4-4 e'8-3 g'-2"
FREE = "c'8 e' g' r8"

#: Rule, music of the right and the left hand; what is said; and its source.
FLAGGED = [
    ("four-fingers", "<c' e' g' b' d''>1", "c1", "the left hand plays too", "[P] Rimsky-Korsakov; Bligh"),
    ("passed-to-other-hand", "<c' e' g' b' d''>1", "r1", "the lowest goes to the left hand", "[P] Bligh"),
    ("reach", "<c' g''>1", "c1", "C4 to G5, a 12th, is beyond the right hand's reach", "calibrated, no source"),
    ("reach", "<c' g''>1", "s1", "the left hand is free for C4", "calibrated, no source"),
    ("reach", "r1", "<c f'>1", "the right hand is free for F4", "calibrated, no source"),
    ("reach", "<c' e' g' g''>1\\arpeggio", "c1", "a 12th", "calibrated, no source"),
    ("wide-chords", "r1", "<d, f>1", "a tenth is near the limit", "[T]; [P] Harp Column"),
    ("wide-chords", "r1", "<d, f>2 <c, e>2", "2 wide chords running", "[T]; [P] Harp Column"),
    (
        "wide-chords",
        "<c'-4 g'-3 c''-1>1",
        "c1",
        "a fifth between 4 and 3 is near what they reach",
        "calibrated, no source",
    ),
    (
        "wide-chords",
        "<c'-4 a'-3 c''-1>1",
        "c1",
        "a sixth between 4 and 3 is beyond what they reach",
        "calibrated, no source",
    ),
    ("wide-placings", "r1", "c,16-4 g,-3 c-2 e-1 r2.", "set together, a tenth is near the limit", "[P] Melody's; [T]"),
    (
        "wide-placings",
        "r1",
        "c16-4 g-3 b-2 d'-1 r2.",
        "a fifth between 4 and 3 is near what they reach",
        "calibrated",
    ),
    ("tenth-beside-thumb", "<c' d'' e''>1", "c1", "leave D5 out", "[P] Harp Legacy Project"),
    ("finger-number", "c'1-5", "c1", "no finger 5 on the harp", "[P] Bligh"),
    ("finger-number", "<c'-0 e'>1", "c1", "no finger 0", "[P] Bligh"),
    ("finger-twice", "<c'-2 e'-2>1", "c1", "finger 2 is on C4 and on E4 at once", "[T]"),
    ("finger-twice", "<< { e'1-2 } \\\\ { c'1-2 } >>", "c1", "finger 2", "[T]"),
    ("crossed-fingers", "<c'-1 e'-2>1", "c1", "1 on C4 under 2 on E4", "[P] Hall"),
    ("crossed-fingers", "r1", "<c-1 e g-3>1", "1 on C3 under 3 on G3", "[P] Hall"),
    ("locked-digits-differ", "<< { g'1-1 } \\\\ { g'1-2 } >>", "c1", "G4 has the digits 1 and 2 at once", "derived"),
    ("figure-fingered-two-ways", f"{BAR} d'1 {OTHER_BAR} d'1", "r1 r1 r1 r1", "3 2 1 2 there", "[T]"),
    ("figure-fingered-two-ways", f"{ONE_WAY} {ANOTHER}", "r1 r1", "is fingered 4 3 2 here and 3 2 1 there", "[T]"),
    ("double-alteration", "fisis'1", "c1", "F𝄪4: no string gives a double alteration; write G4", "derived"),
    ("double-alteration", "r1", "beses1", "write A3", "derived"),
    ("quarter-tone", "cih'1", "c1", "C(1/2)4: no pedal or lever gives a quarter tone", "derived"),
    ("two-alterations", "<c' cis''>1", "e1", "C4 and C♯5 at once: the harp has one C at a time", "[P] Bligh"),
    ("two-alterations", "cis'1", "c1", "C3 and C♯4 at once", "[P] Bligh"),
    ("two-alterations", "<c' cis''>1", "e1", "one C at a time; write D♭5 for C♯5", "[P] Bligh; Sibelius Academy"),
    ("two-alterations", "<c' cis'' d''>1", "e1", "one C at a time; write B♯3 for C4", "[P] Sibelius Academy"),
    ("off-the-harp", "a''''1", "c1", "A7 is not on this harp, which has C1 to G7", "[P] Bligh"),
    ("off-the-harp", "c'1", "b,,,1", "B0 is not on this harp", "[P] Bligh"),
    *cases.FLAGGED,
    *pedal_cases.FLAGGED,
]

UNTOUCHED = [
    ("four-fingers", "<c' e' g' b'>1", "c1", "[P] Rimsky-Korsakov"),
    ("four-fingers", "<c' e' g' b' d''>1", "r1", "[P] Bligh: both hands"),
    ("passed-to-other-hand", "<c' e' g' b'>1", "r1", "[P] Rimsky-Korsakov"),
    ("reach", "<c' e''>1", "<c e'>1", "[P] tenth common: Harp Legacy Project; Johnson"),
    ("reach", "<c' e' g' c''>1", "<c, g, c>1", "[T]"),
    ("reach", "c'4 f''2.", "c1", "one after the other"),
    ("wide-chords", "<c' d''>1", "<c c'>1", "[P] octave and ninth usual: Harp Legacy Project"),
    ("wide-chords", "<c' g' c''>1", "<c-4 e-3 c'-1>1", "[T] 4 2 1; 4 3 1 with a 3rd"),
    ("wide-placings", "c'8 e' g' c'' r2", "c8 g c'4 r2", "[T] usual shapes"),
    ("wide-placings", "<c'-4 g'-3 c''-1>1", "c1", "a chord: wide-chords says it"),
    ("tenth-beside-thumb", "<c' c'' e''>1", "<c e'>1", "[P] Harp Legacy Project"),
    ("finger-number", "c'4-1 d'-2 e'-3 f'-4", "c1", "[P] Bligh"),
    ("finger-twice", "<c'-2 e'-1>2 c'2-2", "<c-2 e-1>1", "[T]"),
    ("crossed-fingers", "<c'-4 e'-3 g'-2 c''-1>1", "<c-3 g-1>1", "[P] Hall"),
    ("crossed-fingers", "c'2-1 d'-2", "c1", "a locked drill in turn"),
    ("locked-digits-differ", "<< { g'1-1 } \\\\ { g'1-1 } >>", "c1", "derived"),
    ("figure-fingered-two-ways", f"{ONE_WAY} {ONE_WAY}", "r1 r1", "[T]"),
    ("figure-fingered-two-ways", f"{ONE_WAY} {HIGHER}", "r1 r1", "a drill: its digits are meant"),
    ("figure-fingered-two-ways", f"{ONE_WAY} {OTHER_RHYTHM}", "r1 r1", "another rhythm"),
    ("figure-fingered-two-ways", f"{ONE_WAY} {FREE}", "r1 r1", "one way is given, the other planned around it"),
    ("figure-fingered-two-ways", "c'4-2 e'-1 r2 c'4-3 e'-1 r2", "r1 r1", "two notes are no figure"),
    ("figure-fingered-two-ways", f"{ONE_WAY} r2", f"r2 {ANOTHER}", "two hands"),
    ("figure-fingered-two-ways", f"{BAR} d'1 {OTHER_BAR} a1", "r1 r1 r1 r1", "other notes follow"),
    ("figure-fingered-two-ways", f"r2. d'4 {BAR} r2. e'4 {OTHER_BAR}", "r1 r1 r1 r1", "other notes before"),
    ("double-alteration", "fis'1", "ces1", "derived"),
    ("quarter-tone", "fis'1", "ces1", "derived"),
    ("two-alterations", "c'2 cis'2", "c1", "in turn: [P] Bligh"),
    ("two-alterations", "<cis' cis''>1", "cis1", "[P] Bligh"),
    ("off-the-harp", "g''''1", "c,,1", "[P] Bligh: C1 to G7"),
    *cases.UNTOUCHED,
    *pedal_cases.UNTOUCHED,
]


@pytest.mark.parametrize(("rule", "upper", "lower", "text", "source"), FLAGGED)
def test_flagged(rule: str, upper: str, lower: str, text: str, source: str) -> None:
    found = ask(rule, draft(upper, lower))
    assert len(found) == 1
    assert found[0].rule == rule
    assert found[0].bar == (3 if BAR in upper else 1)
    assert text in found[0].text


@pytest.mark.parametrize(("rule", "upper", "lower", "source"), UNTOUCHED)
def test_untouched(rule: str, upper: str, lower: str, source: str) -> None:
    assert ask(rule, draft(upper, lower)) == []


@pytest.mark.parametrize(("rule", "upper", "lower", "text", "source"), pedal_cases.LEVER_FLAGGED)
def test_flagged_on_a_lever_harp(rule: str, upper: str, lower: str, text: str, source: str) -> None:
    found = ask(rule, draft(upper, lower, LEVER))
    assert [(one.rule, text in one.text) for one in found] == [(rule, True)]


@pytest.mark.parametrize(("rule", "upper", "lower", "source"), pedal_cases.LEVER_UNTOUCHED)
def test_untouched_on_a_lever_harp(rule: str, upper: str, lower: str, source: str) -> None:
    assert ask(rule, draft(upper, lower, LEVER)) == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_is_documented_and_has_cases(rule: Rule) -> None:
    name, doc = rule.name, inspect.cleandoc(rule.doc)
    assert re.search(r"^Applies when: .*^Says: .*^Source: ", doc, re.DOTALL | re.MULTILINE)
    assert name in {case[0] for case in [*FLAGGED, *pedal_cases.LEVER_FLAGGED]}
    assert name in {case[0] for case in [*UNTOUCHED, *pedal_cases.LEVER_UNTOUCHED]}


def test_names_are_unique() -> None:
    assert len({rule.name for rule in RULES}) == len(RULES)


@pytest.mark.parametrize(
    ("rule", "music"),
    [("wide-chords", "<d, e f>1"), ("tenth-beside-thumb", "<d, e f>1"), ("wide-placings", "c,16-4 g,-3 c-2 e-1 r2.")],
)
def test_where_a_stretch_is_meant_the_caution_stands(rule: str, music: str) -> None:
    found = ask(rule, draft("r1", music))
    assert [(message.severity, CAUTION in message.text) for message in found] == [(Severity.WARNING, True)]


def test_wide_placings_that_are_the_same_are_told_once() -> None:
    bar = "c,16-4 g,-3 c-2 e-1 r2. "
    found = ask("wide-placings", draft("r1 r1 r1", bar * 3))
    assert [message.bar for message in found] == [1]
    assert "and 2 more like it" in found[0].text


def test_wide_chords_running_are_one_message_with_an_end() -> None:
    found = ask("wide-chords", draft("r1", "<d, f>4 <c, e>4 c4 <d, f>4"))
    assert [message.end is not None for message in found] == [True, False]


def figures(*ways: tuple[str, str]) -> list[str]:
    """What is said of bars of music whose digits, ``3 2 1``, were suggested."""
    given = draft(" ".join(music for music, _ in ways))
    part = given.parts[0]
    fingers = tuple((int(finger),) for _, digits in ways for finger in digits.split())
    answers = (part.answers[0]._replace(fingers=fingers), *part.answers[1:])
    made = Draft((part._replace(answers=answers),), given.reach, NO_SETTINGS, {})
    return [str(found) for found in ask("figure-fingered-two-ways", made)]


def test_suggested_digits_are_compared_on_all_strings_and_told_by_way() -> None:
    """The more frequent way is the usual one; each other way is told once, at its first place."""
    bar, higher = "c'8 e' g' r8 r2", "f'8 a' c'' r8 r2"
    assert figures((bar, "3 2 1"), (bar, "4 3 2"), (bar, "4 3 2"), (higher, "4 2 1"), (higher, "4 2 1")) == [
        "test.ly:1:42: warning: the figure of bar 2, test.ly:1:58, is fingered 3 2 1 here and 4 3 2 there (bar 1) "
        "[figure-fingered-two-ways]",
        "test.ly:1:90: warning: the figure of bar 2, test.ly:1:58, is fingered 4 2 1 here (as in 2 places) and 4 3 2 "
        "there (bar 4) [figure-fingered-two-ways]",
    ]


def test_a_digit_on_the_page_is_a_reason_for_its_whole_phrase() -> None:
    bar = "c'8 e' g' r8 r2"
    assert figures((bar, "3 2 1"), (bar, "4 3 2"))
    assert not figures(("c'8-3 e' g' r8 r2", "3 2 1"), (bar, "4 3 2"))


def test_what_is_in_use_counts_in_the_bar_of_the_players_own_staff() -> None:
    """E in the harp's bar of 4/4, whatever the flute counts: one alteration of a letter at a time ([P] Bligh)."""
    harp = HARP % ("\\time 4/4 \\tempo 4 = 120 e'2 f'16 f' r8 r4", "\\time 4/4 r1")
    flute = "\\new Staff \\with { instrumentName = Flute } { \\time 2/4 c''2 c'' }"
    (found,) = ask("string-struck-again", draft_of(f"\\layout {{ \\enablePolymeter }} << {flute} {harp} >>"))
    assert "E♯4 can't serve while E4 is in use" in found.text


def test_reach_depends_on_the_hand() -> None:
    """A tenth in the bass is in a medium hand's reach; the span belongs to the player's profile ([P] Sullivan)."""
    assert ask("reach", draft("r1", "<c, e>1", Reach(HANDS["small"], HARPS["pedal"])))
    assert not ask("reach", draft("r1", "<c, e>1", Reach(HANDS["large"], HARPS["pedal"])))


def test_a_wide_chord_with_digits_is_a_warning() -> None:
    found = ask("reach", draft("<c'-4 g''-1>2 <c' g''-1>2"))
    assert [message.severity for message in found] == [Severity.WARNING, Severity.ERROR]


def test_range_depends_on_the_harp() -> None:
    """34 strings, C2 to A6: [P] D. Perrett, Tips on composing for harp."""
    lever = Reach(HANDS["medium"], HARPS["lever-34"])
    assert not ask("off-the-harp", draft("a'''1", "c,1", lever))
    assert len(ask("off-the-harp", draft("b'''1", "b,,1", lever))) == 2


#: Twins, and what else sounds alike: [P] Sibelius Academy, Harp Notation.
TWINS = "C=B♯ C♯=D♭ D♯=E♭ E=F♭ F=E♯ F♯=G♭ G♯=A♭ A♯=B♭ B=C♭"


@pytest.mark.parametrize("pair", TWINS.split())
def test_twins_are_respellings_of_one_another(pair: str) -> None:
    one, other = ((name[0], {"": 0, "♯": 1, "♭": -1}[name[1:]]) for name in pair.split("="))
    pitch = Pitch(4, "CDEFGAB".index(one[0]), Fraction(one[1]))
    assert (other[0], Fraction(other[1])) in [("CDEFGAB"[p.step], p.alter) for p in respellings(pitch)]


@pytest.mark.parametrize("letter", "DGA")
def test_these_naturals_have_no_twin(letter: str) -> None:
    pitch = Pitch(4, "CDEFGAB".index(letter), Fraction(0))
    assert respellings(pitch) == [pitch]


def test_nothing_is_respelt_onto_a_letter_in_use() -> None:
    """C♯ as D♭ beside D, C as B♯ beside B: no way out ([P] Bligh: one alteration of a letter at a time)."""
    (found,) = ask("two-alterations", draft("<c' cis'' d''>1", "b1"))
    assert found.text.endswith("the harp has one C at a time")
