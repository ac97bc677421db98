"""Write ``grammar/pitchnames.json`` and ``grammar/vocabulary.json`` from the typesetter's own tables.

Run by maintainers when the engraver in the test environment changes::

    python -m tests.referee.vocabulary [--older PROGRAM] [--output FOLDER]

Both files are the typesetter's word, printed by Scheme that runs in it; the reserved words of the lexer are
a list from memory, of which each is tried in the typesetter.
"""

from __future__ import annotations

import argparse
import json
import re
import tempfile
from pathlib import Path
from typing import Any

from .engraver import RefereeError, pinned, run

HERE = Path(__file__).resolve().parent
GRAMMAR = HERE.parent.parent / "grammar"

# Keywords of lily-lexer.cc and lexer.ll, from memory; compared once with every string in the program.
KEYWORDS = """
accepts addlyrics alias alternative book bookpart change chordmode chords consists context default defaultchild
denies description drummode drums etc figuremode figures header include layout lyricmode lyrics lyricsto maininput
markup markuplist midi name new notemode override paper remove repeat rest revert score score-lines sequential set
simultaneous sourcefileline sourcefilename tempo type unset version with
"""
# A parser given only \version or \include complains of the missing string as of an unknown word; \markup and
# \remove are Scheme names as well.
NOT_TO_BE_TRIED = {"include", "version", "markup", "remove", "lyrics"}

# Source: convertrules.py of the typesetter (2.10 to 2.25); only names with a plain successor.
RENAMED = {
    "applycontext": "applyContext",
    "applymusic": "applyMusic",
    "applyoutput": "applyOutput",
    "arpeggioDown": "arpeggioArrowDown",
    "arpeggioNeutral": "arpeggioNormal",
    "arpeggioUp": "arpeggioArrowUp",
    "autochange": "autoChange",
    "compressFullBarRests": "compressEmptyMeasures",
    "compressMusic": "scaleDurations",
    "emptyText": "textLengthOff",
    "expandFullBarRests": "expandEmptyMeasures",
    "fatText": "textLengthOn",
    "fermataMarkup": "fermata",
    "markuplines": "markuplist",
    "newpage": "pageBreak",
    "octave": "octaveCheck",
    "partcombine": "partCombine",
    "partcombineApart": "partCombineApart",
    "partcombineAutomatic": "partCombineAutomatic",
    "partcombineChords": "partCombineChords",
    "partcombineDown": "partCombineDown",
    "partcombineForce": "partCombineForce",
    "partcombineSoloI": "partCombineSoloI",
    "partcombineSoloII": "partCombineSoloII",
    "partcombineUnisono": "partCombineUnisono",
    "partcombineUp": "partCombineUp",
    "setEasyHeads": "easyHeadsOn",
    "setHairpinCresc": "crescHairpin",
    "setHairpinDecresc": "dimHairpin",
    "setHairpinDim": "dimHairpin",
    "setTextCresc": "crescTextCresc",
    "setTextDecr": "dimTextDecr",
    "setTextDecresc": "dimTextDecresc",
    "setTextDim": "dimTextDim",
    "sostenutoDown": "sostenutoOn",
    "sostenutoUp": "sostenutoOff",
    "sustainDown": "sustainOn",
    "sustainUp": "sustainOff",
}

ABOUT_PITCHES = (
    "Pitch names by language, from the typesetter's language-pitch-names: name -> [octave as the typesetter "
    "counts it (-1: no marks), step 0-6 from c, "
    "alteration in semitones (a fraction as string)]. Written by python -m tests.referee.vocabulary"
)
ABOUT_VOCABULARY = (
    "Every name that the typesetter knows at start-up. identifiers: name -> kind and facts; arguments are "
    "[predicate, optional]; 'returns' of a music function is what it makes of a note (music, post-event, void, "
    "unknown), 'of-post-event' what it makes of a post-event, if it takes music at all; 'class' and "
    "'articulation-type' are those of the music expression; 'of: scheme' marks names that only the Scheme side "
    "defines. reserved: the lexer's keywords. markup: commands inside markup, with the predicates of their arguments. "
    "older: names that 2.24.3 has and this engraver has not. renamed: old names, and their names now. "
    "Written by python -m tests.referee.vocabulary"
)


def dump(program: Path | None = None) -> list[list[Any]]:
    """The lines of vocabulary.ly. Raises RefereeError if the typesetter did not reach the end."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "out.jsonl")
        log = run(
            ["-dno-print-pages", HERE / "vocabulary.ly"],
            folder=Path(folder),
            environment={"LYFINGER_OUT": str(out)},
            program=program or pinned(),
        )
        rows = [json.loads(line) for line in out.read_text("utf-8").splitlines()] if out.exists() else []
    if not rows or rows[-1] != ["end", True]:
        raise RefereeError(f"the typesetter did not finish its vocabulary\n{log.stderr[-2000:]}")
    return rows


def reserved() -> list[str]:
    """The keywords that the typesetter's lexer confirms, and the few that can't be tried."""
    with tempfile.TemporaryDirectory() as folder:
        words, out = Path(folder, "words"), Path(folder, "defined")
        words.write_text("\n".join([*sorted(set(KEYWORDS.split()) - NOT_TO_BE_TRIED), "nosuchword"]) + "\n")
        log = run(
            ["-dno-print-pages", HERE / "reserved.ly"],
            folder=Path(folder),
            environment={"LYFINGER_OUT": str(out), "LYFINGER_WORDS": str(words)},
            program=pinned(),
        )
        defined = set(out.read_text().split())
    unknown = set(re.findall(r"unknown command: .?\\([\w-]+)", log.stderr))
    if "nosuchword" not in unknown:
        raise RefereeError(f"the typesetter's message for unknown words has changed\n{log.stderr[-2000:]}")
    return sorted(set(KEYWORDS.split()) - unknown - (defined - NOT_TO_BE_TRIED))


def pitch_names(rows: list[list[Any]]) -> dict[str, Any]:
    languages: dict[str, dict[str, list[Any]]] = {}
    for kind, *fields in rows:
        if kind == "pitch":
            language, name, *pitch = fields
            languages.setdefault(language, {})[name] = pitch
    default = next(fields[0] for kind, *fields in rows if kind == "default-language")
    return {"about": ABOUT_PITCHES, "default": default, "languages": languages}


def identifiers(rows: list[list[Any]]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for kind, *fields in rows:
        if kind == "identifier":
            name, own, facts = fields
            if own or name not in found:
                found[name] = facts if own else {**facts, "of": "scheme"}
    return found


def vocabulary(rows: list[list[Any]], older: list[list[Any]] | None) -> dict[str, Any]:
    now = identifiers(rows)
    before = identifiers(older) if older else {}
    return {
        "about": ABOUT_VOCABULARY,
        "engraver": next(fields[0] for kind, *fields in rows if kind == "version"),
        "reserved": {word: {"kind": "reserved"} for word in reserved()},
        "identifiers": now,
        "older": {name: facts for name, facts in before.items() if name not in now and facts.get("of") != "scheme"},
        "renamed": {name: {"now": successor} for name, successor in RENAMED.items() if name not in now},
        "markup": {
            name: {"arguments": arguments, "list": is_list}
            for kind, *fields in rows
            if kind == "markup-command"
            for name, arguments, is_list in [fields]
        },
    }


def one_entry_a_line(value: dict[str, Any], depth: int = 2, level: int = 1) -> str:
    """JSON with sorted keys (``about`` first) and one line for each entry at the given depth."""
    lines = []
    for key in sorted(value, key=lambda k: (k != "about", k)):
        entry = value[key]
        if isinstance(entry, dict) and entry and level < depth and key != "about":
            text = one_entry_a_line(entry, depth, level + 1).rstrip()
        else:
            text = json.dumps(entry, ensure_ascii=False, sort_keys=True)
        lines.append("  " * level + json.dumps(key, ensure_ascii=False) + ": " + text)
    return "{\n" + ",\n".join(lines) + "\n" + "  " * (level - 1) + "}\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--older", type=Path, help="program of an older engraver, for the names that are gone")
    parser.add_argument("--output", type=Path, default=GRAMMAR, help="folder of the two files")
    options = parser.parse_args()
    rows = dump()
    older = dump(options.older) if options.older else None
    for name, text in (
        ("pitchnames.json", one_entry_a_line(pitch_names(rows), depth=3)),
        ("vocabulary.json", one_entry_a_line(vocabulary(rows, older))),
    ):
        (options.output / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
