"""Which hand plays which note. The order of the evidence is common practice, no source; the music is invented."""

from __future__ import annotations

import pytest

from lyfinger.hands.assign import assign
from lyfinger.hands.model import Evidence, Hands
from lyfinger.score.model import Score
from lyfinger.source.messages import Severity

from ..score.sources import score_of

PIANO = r"\score { \new PianoStaff << %s >> }"


def told(score: Score, hands: Hands) -> str:
    """The hand of each note in order of time: R, L, or - for none."""
    letters = {"right": "R", "left": "L", None: "-"}
    return "".join(letters[hand] for hand in hands.hands)


#: Source, settings, hands in order of time (then of the source), and the evidence of the first note.
TABLE: dict[str, tuple[str, dict[str, str], str, Evidence]] = {
    "order of the staves": (PIANO % "\\new Staff { c'1 d'1 } \\new Staff { c1 d1 }", {}, "RLRL", Evidence.ORDER),
    "order outweighs clefs": (
        PIANO % "\\new Staff { \\clef bass c1 } \\new Staff { \\clef treble c'1 }",
        {},
        "RL",
        Evidence.ORDER,
    ),
    "the middle of three staves by its clef": (
        PIANO % "\\new Staff { c''1 } \\new Staff { \\clef bass d1 \\clef treble d'1 } \\new Staff { c1 }",
        {},
        "RLLR",
        Evidence.ORDER,
    ),
    "four staves": (
        PIANO % "\\new Staff { c''1 } \\new Staff { c'1 } \\new Staff { c1 } \\new Staff { c,1 }",
        {},
        "RRLL",
        Evidence.ORDER,
    ),
    "names outweigh the order": (
        PIANO % '\\new Staff = "LH" { c\'1 } \\new Staff = "RH" { c1 }',
        {},
        "LR",
        Evidence.NAME,
    ),
    "places in the names of staves": (
        PIANO % '\\new Staff = "down" { c\'1 } \\new Staff = "up" { c1 }',
        {},
        "LR",
        Evidence.NAME,
    ),
    "a variable's name": (
        "mainGauche = { c'1 } mainDroite = { c1 }" + PIANO % "\\new Staff \\mainGauche \\new Staff \\mainDroite",
        {},
        "LR",
        Evidence.NAME,
    ),
    "a voice's name outweighs its staff's": (
        PIANO % '\\new Staff = "right" { \\new Voice = "left" { c\'1 } } \\new Staff = "left" { c1 }',
        {},
        "LL",
        Evidence.NAME,
    ),
    "a word for the hand outweighs one for a place": (
        PIANO % '\\new Staff = "upper" { \\new Voice = "LHup" { c\'1 } } \\new Staff = "RHlower" { c1 }',
        {},
        "LR",
        Evidence.NAME,
    ),
    "upper and lower voices of one staff are not hands": (
        PIANO
        % (
            '\\new Staff << \\new Voice = "upper" { \\voiceOne e\'1 } \\new Voice = "lower" { \\voiceTwo c\'1 } >>'
            " \\new Staff { c1 }"
        ),
        {},
        "RRL",
        Evidence.ORDER,
    ),
    "unless there is but one staff": (
        '\\score { \\new Staff << \\new Voice = "upper" { \\voiceOne e\'1 }'
        ' \\new Voice = "lower" { \\voiceTwo c\'1 } >> }',
        {},
        "RL",
        Evidence.NAME,
    ),
    "one staff, by its clef": ("\\score { \\new Staff { c'1 \\clef bass c1 } }", {}, "RL", Evidence.CLEF),
    "clefs an octave off": (
        '\\score { \\new Staff { \\clef "treble_8" c1 \\clef "bass^8" c\'1 } }',
        {},
        "RL",
        Evidence.CLEF,
    ),
    "two staves without a group, by their clefs": (
        "\\score { << \\new Staff { \\clef bass c1 } \\new Staff { c'1 } >> }",
        {},
        "LR",
        Evidence.CLEF,
    ),
    "two staves without a group and with one clef, by their order": (
        "\\score { << \\new Staff { c''1 } \\new Staff { c'1 } >> }",
        {},
        "RL",
        Evidence.ORDER,
    ),
    "changing the staff changes the hand": (
        PIANO % '\\new Staff = "a" { c\'2 \\change Staff = "b" c2 } \\new Staff = "b" { s1 }',
        {},
        "RL",
        Evidence.ORDER,
    ),
    "also for a voice with a hand's name": (
        PIANO
        % '\\new Staff = "up" { \\new Voice = "RH" { c\'2 \\change Staff = "down" c2 } } \\new Staff = "down" { s1 }',
        {},
        "RL",
        Evidence.NAME,
    ),
    "but not for a voice in the settings": (
        PIANO
        % '\\new Staff = "up" { \\new Voice = "v" { c\'2 \\change Staff = "down" c2 } } \\new Staff = "down" { s1 }',
        {"v": "right", "down": "left"},
        "RR",
        Evidence.SETTING,
    ),
    "nor for a variable in the settings": (
        'tune = { c\'2 \\change Staff = "down" c2 }' + PIANO % '\\new Staff = "up" \\tune \\new Staff = "down" { s1 }',
        {"tune": "left"},
        "LL",
        Evidence.SETTING,
    ),
    "a setting outweighs a comment": (
        PIANO % '\\new Staff = "a" { % lyfinger: left\n c\'1 } \\new Staff = "b" { c1 }',
        {"a": "right"},
        "RL",
        Evidence.SETTING,
    ),
    "a comment holds to the next": (
        PIANO % "\\new Staff { c'4 % lyfinger: left\n d'4 r4 e'4 % lyfinger: right\n f'1 } \\new Staff { c1 c1 }",
        {},
        "RLLLRL",
        Evidence.ORDER,
    ),
    "a comment outweighs a hand word": (
        PIANO % '\\new Staff { % lyfinger: left\n c\'1^"r.h." } \\new Staff { c1 }',
        {},
        "LL",
        Evidence.COMMENT,
    ),
    "a comment holds in the voices that branch off": (
        PIANO % "\\new Staff { c'1 % lyfinger: left\n << { e'1 } \\\\ { c'1 } >> } \\new Staff { c1 s1 }",
        {},
        "RLLL",
        Evidence.ORDER,
    ),
    "a hand word holds to the next": (
        PIANO % "\\new Staff { c'4 d'4^\\markup { L.H. } e'4 f'4^\"R.H.\" } \\new Staff { c1 }",
        {},
        "RLLLR",
        Evidence.ORDER,
    ),
    "or to a rest": (
        PIANO % "\\new Staff { c'4 d'4_\"m.s.\" r4 f'4 } \\new Staff { c1 }",
        {},
        "RLLR",
        Evidence.ORDER,
    ),
    "at the first note it is a label": (
        PIANO % '\\new Staff { c\'4^"m.g." r4 d\'2 } \\new Staff { c1_"m.d." }',
        {},
        "LRL",
        Evidence.HAND_WORD,
    ),
    "stems as hands": (
        "\\score { \\new Staff = \"harp\" << { e'2 f' } \\\\ { c' d' } >> }",
        {"harp:up": "right", "harp:down": "left"},
        "RLRL",
        Evidence.SETTING,
    ),
    "a flute beside a harp has no hands": (
        "\\score { << \\new Staff { c''1 } \\new PianoStaff << \\new Staff { c'1 } \\new Staff { c1 } >> >> }",
        {},
        "-RL",
        Evidence.NOT_HARP,
    ),
    "unless a setting gives it one": (
        "\\score { << \\new Staff = \"solo\" { c''1 }"
        " \\new PianoStaff << \\new Staff { c'1 } \\new Staff { c1 } >> >> }",
        {"solo": "right"},
        "RRL",
        Evidence.SETTING,
    ),
    "a piano beside a harp has no hands": (
        '\\score { << \\new PianoStaff \\with { instrumentName = "Piano" }'
        " << \\new Staff { c'1 } \\new Staff { c1 } >>"
        ' \\new PianoStaff \\with { instrumentName = "Arpa" } << \\new Staff { c\'1 } \\new Staff { c1 } >> >> }',
        {},
        "--RL",
        Evidence.NOT_HARP,
    ),
    "nor beside a group without a name": (
        "\\score { << \\new PianoStaff << \\new Staff { c'1 } \\new Staff { c1 } >>"
        ' \\new PianoStaff \\with { instrumentName = "Celesta" } << \\new Staff { c\'1 } \\new Staff { c1 } >> >> }',
        {},
        "RL--",
        Evidence.ORDER,
    ),
    "a piano alone is played on the harp": (
        '\\score { \\new PianoStaff \\with { instrumentName = "Piano" }'
        " << \\new Staff { c'1 } \\new Staff { c1 } >> }",
        {},
        "RL",
        Evidence.ORDER,
    ),
    "a harp without a group": (
        "\\score { << \\new Staff \\with { instrumentName = \"Violin\" } { c''1 }"
        ' \\new Staff \\with { instrumentName = "Harp" } { c\'1 } >> }',
        {},
        "-R",
        Evidence.NOT_HARP,
    ),
    "an ossia is not played": (
        PIANO % "\\new Staff = \"ossia\" { e'1 } \\new Staff { c'1 } \\new Staff { c1 }",
        {},
        "-RL",
        Evidence.NOT_HARP,
    ),
    "bare variables": ("harpRight = { c'1 } harpLeft = { c1 } flourish = { e'1 }", {}, "RL-", Evidence.NAME),
    "bare variables in the settings": ("one = { c'1 } two = { c1 }", {"one": "left"}, "L-", Evidence.SETTING),
}


@pytest.mark.parametrize("name", TABLE)
def test_hands(name: str) -> None:
    source, settings, wanted, evidence = TABLE[name]
    score = score_of(source)
    hands = assign(score, settings)
    assert told(score, hands) == wanted
    assert hands.reasons[0].evidence is evidence
    assert len(hands.hands) == len(hands.players) == len(hands.reasons) == len(score.notes)


def test_each_group_is_a_player() -> None:
    group = "\\new PianoStaff << \\new Staff { c'1 } \\new Staff { c1 } >>"
    score = score_of(f"\\score {{ << {group} {group} >> }}")
    assert assign(score, {}).players == (0, 0, 1, 1)


def test_bare_variables_are_players_of_their_own() -> None:
    score = score_of("rightA = { c'1 } rightB = { c'1 } leftA = { c1 }")
    assert assign(score, {}).players == (0, 1, 2)


def test_settings_that_decided_are_told() -> None:
    score = score_of(PIANO % '\\new Staff = "a" { c\'1 } \\new Staff = "b" { c1 }')
    assert assign(score, {"a": "right", "c": "left"}).settings == {"a"}


def test_staves_without_hands_are_named_once() -> None:
    score = score_of("harpRight = { c'1 } flourish = { e'4 f'4 g'2 }")
    found = assign(score, {}).messages
    assert [str(message) for message in found] == [
        "test.ly:1:21: warning: flourish is not marked: its name says no hand (name it in [hands]) [no-hand]"
    ]


# More than four notes in one hand: [P] N. Rimsky-Korsakov, Principles of Orchestration; E. Volpé Bligh, Writing for
# the Pedal Harp.


def test_the_lowest_of_five_goes_to_the_left_hand() -> None:
    score = score_of(PIANO % "\\new Staff { <c' e' g' b' d''>1 } \\new Staff { r1 }")
    hands = assign(score, {})
    assert told(score, hands) == "LRRRR"
    assert hands.passed == {0}
    assert [(m.rule, m.severity, m.bar) for m in hands.messages] == [("passed-to-other-hand", Severity.WARNING, 1)]


def test_the_highest_of_five_goes_to_the_right_hand() -> None:
    score = score_of(PIANO % "\\new Staff { c''2 r2 } \\new Staff { r2 <c e g b d'>2 }")
    assert told(score, assign(score, {})) == "R" + "LLLLR"


def test_as_many_pass_as_both_hands_can_reach() -> None:
    score = score_of(PIANO % "\\new Staff { <c e c' e' c'' g''>1 } \\new Staff { r1 }")
    assert told(score, assign(score, {})) == "LLLRRR"


def test_five_stay_where_the_other_hand_plays() -> None:
    score = score_of(PIANO % "\\new Staff { <c' e' g' b' d''>2 c' } \\new Staff { c2 d2 }")
    hands = assign(score, {})
    assert told(score, hands) == "RRRRRLRL"
    assert hands.crowded == {0, 1, 2, 3, 4}
    assert [(m.rule, m.severity) for m in hands.messages] == [("four-fingers", Severity.ERROR)]


def test_nine_are_too_many_for_both_hands() -> None:
    score = score_of(PIANO % "\\new Staff { <c e g b d' f' a' c'' e''>1 } \\new Staff { r1 }")
    assert len(assign(score, {}).crowded) == 9


def test_tied_notes_are_not_counted() -> None:
    score = score_of(PIANO % "\\new Staff { <c' e' g' b'>2 ~ <c' e' g' b' d''>2 } \\new Staff { c2 c2 }")
    assert assign(score, {}).messages == ()


def test_a_unison_of_two_voices_is_one_string() -> None:
    score = score_of(PIANO % "\\new Staff { << { <e' g' b'>1 } \\\\ { <c' e'>1 } >> } \\new Staff { c1 }")
    assert assign(score, {}).messages == ()
