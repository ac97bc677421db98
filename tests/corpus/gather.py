"""Find LilyPond sources below folders, and make those of lilypond-book fit to be compared by position.

lilypond-book puts lines in front of a snippet; some of them give it another name and other line numbers. They
are blanked, character for character, so that places are those of the file itself.
"""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.referee.engraver import own_files

_BOOK_LINES = re.compile(
    rb'^\\(?:include "lilypond-book-preamble\.ly"|sourcefilename "[^"\n]*"|sourcefileline -?\d+)[ \t]*$', re.MULTILINE
)
_SNIPPET_STARTS = re.compile(rb"^\\sourcefileline -?\d+[ \t]*$", re.MULTILINE)
_NAMED = re.compile(rb'^\\sourcefilename "([^"\n]*)"', re.MULTILINE)
_INCLUDE = re.compile(rb'\\include\s+"([^"\n]+)"')


@dataclass(frozen=True, slots=True)
class Source:
    """A file to compare. ``label`` is how the tables call it; ``digest`` covers it and its local includes."""

    path: Path
    label: str
    digest: str


def neutral(data: bytes) -> bytes:
    """The file with the lines of lilypond-book blanked: same length, same places."""
    return _BOOK_LINES.sub(lambda match: b" " * len(match[0]), data)


def gather(folders: Iterable[Path], cache: Path) -> Iterator[Source]:
    """All .ly files below the folders, in order of path, each music once.

    A snippet of lilypond-book is copied, neutral, below ``cache/gathered``; any other file is taken where it is.
    Snippets that differ only in what lilypond-book put in front of them are the same music.
    """
    seen: set[bytes] = set()
    for folder in folders:
        for path in sorted(folder.rglob("*.ly")):
            data = path.read_bytes()
            start = _SNIPPET_STARTS.search(data)
            music = hashlib.sha256(data[start.end() :] if start else data).digest()
            if music in seen:
                continue
            seen.add(music)
            label = path.relative_to(folder).as_posix()
            if start:
                named = _NAMED.search(data)
                label += f" ({named[1].decode('utf-8', 'replace')})" if named else ""
                path = _copied(neutral(data), cache / "gathered" / path.relative_to(folder))
            yield Source(path, label, digest(path))


def _copied(data: bytes, to: Path) -> Path:
    if not to.exists() or to.read_bytes() != data:
        to.parent.mkdir(parents=True, exist_ok=True)
        to.write_bytes(data)
    return to


def digest(path: Path) -> str:
    """A hash of the file and of every file that it includes from where it stands."""
    total = hashlib.sha256()
    waiting, done = [path], set()
    while waiting:
        one = waiting.pop(0)
        if one in done or not one.is_file():
            continue
        done.add(one)
        data = one.read_bytes()
        total.update(hashlib.sha256(data).digest())
        waiting += [one.parent / name.decode("utf-8", "surrogateescape") for name in _INCLUDE.findall(data)]
    return total.hexdigest()[:32]


def debian_documentation(cache: Path) -> Path:
    """The folder of Debian's package lilypond-doc-html, downloaded by apt and unpacked below the cache.

    Raises CalledProcessError where apt can't fetch it.
    """
    folder = cache / "debian"
    if not folder.exists():
        download = cache / "download"
        shutil.rmtree(download, ignore_errors=True)
        download.mkdir(parents=True)
        subprocess.run(["apt-get", "download", "lilypond-doc-html"], cwd=download, check=True)
        for package in sorted(download.glob("*.deb")):
            subprocess.run(["dpkg", "-x", package, folder], check=True)
        shutil.rmtree(download)
    return folder


_EXAMPLE = re.compile(r"^@lilypond(?:\[([^\]]*)\])?[ \t]*\n(.*?)^@end lilypond", re.MULTILINE | re.DOTALL)
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)


def engraver_examples(cache: Path) -> Path:
    """A folder with the examples that the installed engraver has in the documentation of its functions.

    They are cut out of its own files in ``ly/`` and ``scm/``, each into a file below the cache. Fragments of music get
    the braces that lilypond-book would give them.
    """
    share = own_files()
    folder = cache / "engraver" / share.name
    for path in sorted([*share.glob("ly/*.ly"), *share.glob("scm/**/*.scm")]):
        for number, match in enumerate(_EXAMPLE.finditer(path.read_text("utf-8", "replace")), start=1):
            music = _ESCAPED.sub(r"\1", match[2])
            if "fragment" in (match[1] or ""):
                music = f"{{\n{music}}}\n"
            data = f'\\version "{share.name}"\n{music}'.encode()
            _copied(data, folder / path.stem / f"{number:03}.ly")
    return folder


def chosen(sources: Sequence[Source], digests: Iterable[str]) -> list[Source]:
    """The sources with the given digests."""
    wanted = set(digests)
    return [source for source in sources if source.digest in wanted]
