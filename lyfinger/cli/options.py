"""The commands and options, as ``--help`` shows them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NoReturn

from .. import __version__
from ..choices import FILE_NAME, HAND_SIZES
from . import pedal_options
from .build_options import add_build_options
from .check_options import add_check_options
from .choosing import add_choice, add_staves, bar_range
from .page_options import add_locks_option, add_page_options, add_proof_options
from .revising import CLEAR, CLEAR_EXAMPLES, DIFF, DIFF_EXAMPLES, add_destination

_EXIT = """
exit status: 0 done; 1 errors found (check) or a difference (diff, and mark or clear with --diff);
2 refused, with one line on standard error that says where and why.
"""

_TOP = """
examples:
  lyfinger mark harp.ly -o harp-fingered.ly
  lyfinger mark parts/*.ly scores/*.ly --output-dir build
  lyfinger check harp.ly
  lyfinger notes harp.ly --format json
  lyfinger explain harp.ly --bars 12-14
  lyfinger proof harp.ly -o proof.html
  lyfinger rules cross-under
"""

_MARK = """
Put finger numbers into LilyPond source. Digits that stand there already are locked: they are kept and planned
around. With no destination, one file goes to standard output, and - reads standard input.
"""

_MARK_EXAMPLES = """
examples:
  lyfinger mark harp.ly                     the marked file, on standard output
  lyfinger mark harp.ly -o marked.ly        the same, into a file
  lyfinger mark parts/harp.ly --output-dir build
                                            the part and all that it includes, as a tree
                                            in build that LilyPond engraves by itself
  lyfinger mark --diff harp.ly              what would change, as a unified diff
  lyfinger mark harp.ly --keep marked.ly -o marked.ly
                                            after a revision: the digits of last time where
                                            the music has stayed
  lyfinger mark --in-place harp.ly          accept: from now on the digits are yours, and locked
  lyfinger mark - < harp.ly | lilypond -    as a filter
  lyfinger mark parts/*.ly --output-dir build --stamp build/marked --depfile build/marked.d
                                            from make: what is unchanged keeps its time
  lyfinger mark method.lytex -o out.lytex   the music in a LaTeX or HTML source for lilypond-book

A digit is a suggestion. Stop when it hurts, and ask a teacher or a clinician.
"""

_NOTES = """
List every printed note as it was read: place, bar and beat, staff and voice, pitch, hand and finger.
"""

_CHECK = """
Report what a harpist would send back: too many notes for a hand, spans out of reach, locked digits that can't be.
The findings go to standard output, one a line, as editors read them:
file:line:column: error|warning: text (bar N) [rule-name]. Nothing is written.
"""

_CHECK_EXAMPLES = """
examples:
  lyfinger check harp.ly                    every finding, a line each
  lyfinger check --summary scores/*.ly      how many of each rule
  lyfinger check --ignore wide-placings,leap harp.ly
  lyfinger check --format sarif harp.ly > harp.sarif

A comment in the source accepts a finding, on its line or alone on the line above:
  % lyfinger: accept leap: there is a breath here
"""

_EXPLAIN = """
Say why the digits of a figure are what they are: its placings, the rules that count against them with their costs
and sources, and the next-best fingerings with what they cost more. Digits in the source are kept, as mark keeps them.
"""

_EXPLAIN_EXAMPLES = """
examples:
  lyfinger explain harp.ly --at 31:7        the placing of the note there, and its neighbours
  lyfinger explain harp.ly --at notes/tune.ily:4:12
                                            a note in an included file
  lyfinger explain harp.ly --bars 12-14     both hands, phrase by phrase (printed bar numbers)
"""

_PROOF = """
Write one HTML page to decide by: the engraved music with its digits, and for each digit the hand on its strings, the
reasons, and the next-best fingerings to choose from; what check finds; and where the hand opens widest, bar by bar.
Engraving needs LilyPond and runs the code that is in the score, as every engraving does.
"""

_PROOF_EXAMPLES = """
examples:
  lyfinger proof harp.ly -o proof.html      then open proof.html in a browser, choose, save the locks, and
  lyfinger mark harp.ly --locks harp-locks.json -o marked.ly

A digit is a suggestion. Stop when it hurts, and ask a teacher or a clinician.
"""

_RULES = """
List the rules of the search with their weights, and those of check; with a NAME, all that is documented about one.
"""

_SERVE_EDITOR = """
Speak the Language Server Protocol on standard input and output, for an editor that starts this command: findings as you
type, the reasons for a digit under the pointer, and fingerings to insert, to replace by another, or to clear.
"""

_COMPLETION = """
Print a script with which a shell completes commands, options and file names. Needs the package shtab.
"""

_SHELLS = """
examples:
  lyfinger completion bash > ~/.local/share/bash-completion/completions/lyfinger
  lyfinger completion zsh > ~/.zfunc/_lyfinger           (a folder in $fpath)
  lyfinger completion fish > ~/.config/fish/completions/lyfinger.fish
"""


class _Parser(argparse.ArgumentParser):
    """An argument parser that refuses in one line. Its description is laid out when somebody asks for it."""

    def format_help(self) -> str:
        from textwrap import fill

        self.description = fill((self.description or "").strip(), 90)
        return super().format_help()

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message} (see {self.prog} --help)\n")


def build_parser(command: str | None = None) -> argparse.ArgumentParser:
    """The parser of the whole command line; the result has ``command`` and that command's options.

    Where the command is known already it is the only one that the parser has: to make all takes as long as to start.
    """
    parser = _Parser(
        prog="lyfinger",
        description="Put finger numbers into LilyPond source of harp parts.",
        epilog=_TOP + _EXIT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"lyfinger {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_Parser)
    for add in [_ADDERS[command]] if command in _ADDERS else _ADDERS.values():
        add(commands)
    return parser


def _command(
    commands: argparse._SubParsersAction[_Parser], name: str, help_line: str, description: str, epilog: str
) -> _Parser:
    return commands.add_parser(
        name,
        help=help_line,
        description=description,
        epilog=epilog + _EXIT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )


def _add_mark(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "mark", "put finger numbers into the source", _MARK, _MARK_EXAMPLES)
    add_destination(parser, "marked", "write the digits into the files themselves")
    parser.add_argument(
        "--keep",
        metavar="OLD",
        action="append",
        default=[],
        help="prefer the digits of an earlier marking, so that a revised part changes no more than it must; "
        "may be repeated",
    )
    add_choice(parser, "mark")
    pedal_options.add_to_mark(parser)
    add_build_options(parser)
    add_locks_option(parser)
    add_page_options(parser)
    _add_common(parser)


def _add_pedals(commands: argparse._SubParsersAction[_Parser]) -> None:
    about = pedal_options.DESCRIPTION
    parser = _command(commands, "pedals", "list what the pedals do", about, pedal_options.EXAMPLES)
    pedal_options.add_to_pedals(parser)
    add_staves(parser)
    _add_common(parser)


def _add_notes(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "notes", "list the notes as they were read", _NOTES, "")
    parser.add_argument("file", metavar="FILE", help="a score or part; - is standard input")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="a table (default), or JSON")
    add_choice(parser, "list")
    _add_common(parser)


def _add_check(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "check", "report what can't be played", _CHECK, _CHECK_EXAMPLES)
    parser.add_argument("files", nargs="+", metavar="FILE", help="a score or part; - is standard input")
    add_check_options(parser)
    add_choice(parser, "judge")
    _add_common(parser)


def _add_explain(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "explain", "say why a digit is what it is", _EXPLAIN, _EXPLAIN_EXAMPLES)
    parser.add_argument("file", metavar="FILE", help="a score or part; - is standard input")
    where = parser.add_mutually_exclusive_group(required=True)
    where.add_argument(
        "--at", metavar="[NAME:]LINE:COLUMN", type=_place, help="a note, as messages name its place (NAME: its file)"
    )
    where.add_argument("--bars", metavar="FIRST[-LAST]", type=bar_range, help="printed bar numbers")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="to be read (default), or JSON")
    add_staves(parser)
    _add_common(parser)


def _add_proof(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "proof", "write a page to look at and decide by", _PROOF, _PROOF_EXAMPLES)
    parser.add_argument("file", metavar="FILE", help="a score or part; - is standard input")
    add_proof_options(parser)
    add_locks_option(parser)
    add_page_options(parser)
    _add_common(parser)


def _place(text: str) -> tuple[str | None, int, int]:
    name, _, rest = text.rpartition(":")
    name, _, line = name.rpartition(":") if name else ("", "", "")
    if not all(number.isascii() and number.isdigit() and len(number) < 10 for number in (line, rest)):
        raise argparse.ArgumentTypeError(f"{text} is not LINE:COLUMN, such as 31:7")
    return name or None, int(line), int(rest)


def _add_rules(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "rules", "list the rules with their documentation", _RULES, "")
    parser.add_argument("name", metavar="NAME", nargs="?", help="one rule, with all its documentation")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="to be read (default), or JSON")
    parser.add_argument(
        "--config", metavar="FILE", type=Path, help=f"whose weights (default: {FILE_NAME} here or above)"
    )


def _add_serve_editor(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "serve-editor", "serve an editor: findings, reasons, fingerings", _SERVE_EDITOR, "")
    _add_include(parser.add_argument_group("reading"))
    _add_player(parser)


def _add_completion(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "completion", "print what a shell needs to complete these", _COMPLETION, _SHELLS)
    parser.add_argument("shell", metavar="SHELL", choices=("bash", "zsh", "fish"), help="bash, zsh or fish")


def _add_clear(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "clear", "take finger numbers out of the source", CLEAR, CLEAR_EXAMPLES)
    add_destination(parser, "cleared", "take the digits out of the files themselves")
    add_choice(parser, "clear")
    _add_common(parser)


def _add_diff(commands: argparse._SubParsersAction[_Parser]) -> None:
    parser = _command(commands, "diff", "tell which digits changed", DIFF, DIFF_EXAMPLES)
    parser.add_argument("old", metavar="OLD", help="the earlier version of a score or part")
    parser.add_argument("new", metavar="NEW", help="the later one; - is standard input, for one of both")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="to be read (default), or JSON")
    add_staves(parser)
    _add_common(parser)


def _add_common(parser: _Parser) -> None:
    group = parser.add_argument_group("reading")
    _add_include(group)
    group.add_argument("--stdin-filename", metavar="NAME", help="what standard input is called, for includes, messages")
    group.add_argument("--strict", action="store_true", help="refuse a passage that can't be followed, not just warn")
    _add_player(parser)


def _add_include(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "-I",
        dest="include_dirs",
        metavar="DIR",
        action="append",
        default=[],
        help="look for included files in DIR too, as LilyPond does; may be repeated",
    )


def _add_player(parser: _Parser) -> None:
    group = parser.add_argument_group("the player")
    group.add_argument("--hand", choices=HAND_SIZES, help="the player's hand (default: as configured, or medium)")
    group.add_argument(
        "--config", metavar="FILE", type=Path, help=f"the settings (default: {FILE_NAME}, found by itself)"
    )


_ADDERS = {
    "mark": _add_mark,
    "notes": _add_notes,
    "check": _add_check,
    "explain": _add_explain,
    "pedals": _add_pedals,
    "proof": _add_proof,
    "rules": _add_rules,
    "serve-editor": _add_serve_editor,
    "completion": _add_completion,
    "clear": _add_clear,
    "diff": _add_diff,
}
"""What adds each command, in the order of ``--help``."""
