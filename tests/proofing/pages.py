"""Pages of small scores, made by the command line and the real typesetter, and taken apart."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from tests.whole.command import lyfinger

SCORE = """\
\\version "2.24.0"
\\score {
  \\new PianoStaff <<
    \\new Staff = "RH" { \\tempo 4 = 100 c'8 d' e' f'-1 g' a' b' c'' <c' e' g'>2 <d'-4 f'-2 b'-1>2 }
    \\new Staff = "LH" { \\clef bass c1 <c e'>1 }
  >>
  \\layout { }
}
"""

#: What would run, load or break out if it were taken for HTML, SVG or script.
HOSTILE = """\
\\version "2.24.0"
\\header {
  title = "</script><script>window.broken = 1</script>"
  subtitle = \\markup { \\with-url "javascript:window.broken=2" "click" \\with-url "textedit:///etc/passwd:1:1:1" "me" }
  composer = "<img src=x onerror='window.broken=3'>"
  tagline = "]]></svg><script>window.broken = 4</script>"
}
\\new Staff = "RH" \\with { instrumentName = "R.H. </svg><script>window.broken = 5</script>" } {
  % </script><script>window.broken = 6</script> <!-- &quot; ' " -->
  c'4^"<svg onload='window.broken=7'>" d' e' f'-5
}
"""


@dataclass
class Taken(HTMLParser):
    """The elements of a page with their attributes, and the text of its scripts and styles."""

    elements: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    raw: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self._inside = tag
            self.raw.append((tag, ""))

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        """Note the text of a script or a style."""
        if self._inside:
            self.raw[-1] = (self._inside, self.raw[-1][1] + data)

    def named(self, name: str) -> list[dict[str, str | None]]:
        """The attributes of all elements of a class."""
        return [attributes for _, attributes in self.elements if name in (attributes.get("class") or "").split()]

    @property
    def data(self) -> Any:
        """What the script reads."""
        return json.loads(next(text for tag, text in self.raw if tag == "script" and text.startswith("{")))


def page_of(folder: Path, text: str, *options: str, name: str = "part.ly") -> bytes:
    """The page of a score that stands in a folder by itself."""
    (folder / name).write_text(text, encoding="utf-8")
    done = lyfinger("proof", *options, name, "-o", "proof.html", folder=folder)
    assert done.status == 0, done.err
    assert "\r" not in done.err
    return (folder / "proof.html").read_bytes()


def taken_apart(page: bytes) -> Taken:
    """A page, parsed."""
    taken = Taken()
    taken.feed(page.decode())
    taken.close()
    return taken
