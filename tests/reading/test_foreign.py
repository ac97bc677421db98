r"""What Scheme makes of music: it is never run, what it needs is taken whole, and what it uses is named.

That the notes themselves are right or warned of is held by the fixtures, which the typesetter referees; here stand
the places that are named, and what is read beside them. No source: these are lyfinger's own words.
"""

from __future__ import annotations

import pytest

from lyfinger.score.model import Reading

from .heard import heard, reading_of

HALVE = "halve = #(define-music-function (music by) (ly:music? number?) #{ \\scaleDurations 1/2 $music #})\n"
SWAP = "swap = #(define-music-function (a b) (ly:music? ly:music?) #{ $b $a #})\n"


def spans(reading: Reading) -> list[str]:
    """The passages that warnings name: first and last place."""
    found = []
    for message in reading.messages:
        assert message.end is not None, message
        found.append("{}:{}-{}:{}".format(*message.place.line_column, *message.end.line_column))
    return found


def test_an_argument_behind_the_music_goes_with_it() -> None:
    reading = reading_of(HALVE + "\\new Staff { c'4 \\halve { d' e' } 7 f' } { g'1 }")
    assert heard(reading) == "c4@0 g4@0"
    assert spans(reading) == ["2:18-2:38"]


def test_a_variable_that_a_function_is_given_is_named_where_it_stands() -> None:
    reading = reading_of(HALVE + "tune = { d'4 e' }\n\\new Staff { c'4 \\halve \\tune 7 } { g'1 }")
    assert heard(reading) == "c4@0 g4@0"
    assert spans(reading) == ["3:18-3:31", "2:10-2:15"]


def test_both_arguments_of_a_function_belong_to_it() -> None:
    reading = reading_of(SWAP + "{ \\swap { c'4 } { d'4 } }\n{ e'1 }")
    assert heard(reading) == "e4@0"
    assert spans(reading) == ["2:3-2:23"]


def test_a_function_in_an_assignment_keeps_its_music() -> None:
    reading = reading_of(SWAP + "both = \\swap { c'4 } { d'4 }\n{ \\both } { e'1 }")
    assert heard(reading) == "e4@0"


def test_a_function_at_the_top_swallows_no_more_than_its_arguments() -> None:
    text = "say = #(define-music-function (n) (index?) (make-music 'SequentialMusic))\n\\say 3\n{ e'1 }"
    assert heard(reading_of(text)) == "e4@0"


def test_music_that_a_definition_names_is_named() -> None:
    text = "tune = { c'4 }\n#(define again (make-sequential-music (list tune tune)))\n\\again\n{ e'1 }"
    reading = reading_of(text)
    assert heard(reading) == "e4@0"
    assert spans(reading) == ["3:1-3:6", "1:8-1:14"]


@pytest.mark.parametrize(
    "scheme",
    [
        '#(ly:parser-include-string "{ c4 }")',
        "#(add-score (scorify-music #{ { c4 } #}))",
        "$(make-sequential-music '())",
        "$#{ c'4 #}",
    ],
)
def test_scheme_that_may_print_music_is_warned_of(scheme: str) -> None:
    reading = reading_of(f"{scheme}\n{{ e'1 }}")
    assert (heard(reading), spans(reading)) == ("e4@0", [f"1:1-1:{len(scheme)}"])


@pytest.mark.parametrize(
    "scheme",
    [
        "#(set-global-staff-size 18)",
        "#(define (shout text) (markup #:bold text))",
        '#(if (ly:get-option \'x) (display "x"))',
        "#(define sizes '(1 2))",
        "#(for-each display '(1 2))",
    ],
)
def test_scheme_that_makes_no_music_is_silent(scheme: str) -> None:
    reading = reading_of(f"{scheme}\n{{ e'1 }}")
    assert (heard(reading), spans(reading)) == ("e4@0", [])


def test_a_note_goes_with_its_broken_duration() -> None:
    """Otherwise it would be read with a length that it hasn't."""
    reading = reading_of("{ c'4 d'2*#(ly:music-length x) e' }\n{ g'1 }")
    assert heard(reading) == "c4@0 g4@0"
    assert spans(reading) == ["1:7-1:33"]


def test_behind_other_note_names_nothing_is_a_note() -> None:
    """[P] ``bagpipe.ly``: c is what others call c sharp."""
    assert heard(reading_of('{ c\'4 }\n\\include "bagpipe.ly"\n{ c4 d }')) == "c4@0"


def test_a_markup_command_of_its_own_is_no_statement_to_stumble_over() -> None:
    reading = reading_of('\\markup shout = \\markup \\bold \\etc\n{ e\'1^\\markup \\shout "x" }')
    assert (heard(reading), spans(reading)) == ("e4@0", [])
