"""The page: one HTML file with everything in it, and nothing in it that a score could make run.

The engraved pages are pictures (``image`` with a ``data:`` address), in which a browser runs no script and follows no
link. All text of the score is escaped. The policy at the top lets the page's own style and script run, known by their
digests, and nothing be fetched from anywhere.
"""

from __future__ import annotations

import hashlib
from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from itertools import groupby

from ..checking.draft import CAUTION
from ..source.messages import Message
from ..source.text import Place
from .engraving import Engraved, Spot
from .marks import Kind, Mark, Shown
from .strip import HARD, Strip, drawn


@dataclass(frozen=True, slots=True)
class Content:
    """What the page shows: ``names`` of its marks and ``figures`` in words, ``findings`` of the check, ``where`` the
    spots of their notes, ``player`` the hand and the harp in words, ``data`` what the script reads."""

    title: str
    player: str
    engraved: Engraved
    shown: Sequence[Shown]
    marks: Sequence[Mark]
    names: Sequence[str]
    figures: Sequence[str]
    strips: Sequence[Strip]
    findings: Sequence[Message]
    where: Mapping[Place, Spot]
    data: str


def as_page(content: Content) -> bytes:
    """The page's bytes, in UTF-8."""
    return "".join(_parts(content)).encode()


def _text(text: str) -> str:
    """Text for HTML; what is no character (bytes of a file that is not UTF-8) is shown as such."""
    clean = "".join("\ufffd" if "\ud800" <= char <= "\udfff" else char for char in text)
    return escape("".join(char if char.isprintable() or char in "\n\t" else "\ufffd" for char in clean))


def _parts(content: Content) -> Iterator[str]:
    style = _own("proof.css")
    script = _own("patch.js") + _own("proof.js")
    yield '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    yield f'<meta http-equiv="Content-Security-Policy" content="{_policy(style, script)}">\n'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    yield '<meta name="referrer" content="no-referrer">\n'
    yield f"<title>Proof of {_text(content.title)}</title>\n<style>{style}</style>\n</head>\n<body>\n"
    yield from _head(content)
    yield '<main>\n<div id="read">\n'
    yield from _strips(content.strips)
    yield from _findings(content)
    yield from _music(content)
    yield "</div>\n"
    yield _ASIDE
    yield _CHOICES
    yield "</main>\n"
    yield f'<script type="application/json" id="data">{content.data}</script>\n<script>{script}</script>\n'
    yield "</body>\n</html>\n"


def _own(name: str) -> str:
    return files(__package__).joinpath(name).read_text("utf-8")


def _policy(style: str, script: str) -> str:
    digests = (b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in (style, script))
    own_style, own_script = (f"'sha256-{digest}'" for digest in digests)
    return (
        f"default-src 'none'; img-src data:; style-src {own_style}; script-src {own_script}; "
        "base-uri 'none'; form-action 'none'"
    )


def _head(content: Content) -> Iterator[str]:
    counts = {kind: sum(one.kind is kind for one in content.shown) for kind in Kind}
    silent = f", {counts[Kind.SILENT]} planned and not printed" if counts[Kind.SILENT] else ""
    yield '<a class="skip" href="#music">To the music</a>\n<header>\n'
    yield f"<h1>Proof of {_text(content.title)}</h1>\n<p>{_text(content.player)}. "
    yield f"{counts[Kind.SUGGESTED]} digits suggested, {counts[Kind.LOCKED]} in the source and locked{silent}. "
    yield f"<strong>{_text(CAUTION[0].upper() + CAUTION[1:])}.</strong></p>\n"
    for message in content.engraved.messages:
        yield f'<p class="trouble">{_text(message.text)}</p>\n'
    yield "<noscript><p>Choosing needs JavaScript; music, findings and reach are here without.</p></noscript>\n"
    yield "</header>\n"


def _strips(strips: Sequence[Strip]) -> Iterator[str]:
    if not strips:
        return
    yield '<section aria-labelledby="reach-title">\n<h2 id="reach-title">Where the hand opens widest</h2>\n'
    yield "<p>A column for each bar: its widest pair of fingers in a placing, against what this hand reaches. The right"
    yield f" hand's stands up, the left hand's hangs down; from {HARD} percent of the reach on they are dark."
    yield " A bar leads to its digits.</p>\n"
    for strip in strips:
        yield drawn(strip)
    yield "</section>\n"


def _findings(content: Content) -> Iterator[str]:
    yield '<section aria-labelledby="findings-title">\n<h2 id="findings-title">Findings</h2>\n'
    if not content.findings:
        yield "<p>The check finds nothing.</p>\n</section>\n"
        return
    yield "<ol>\n"
    for number, message in enumerate(content.findings):
        bar = f" (bar {message.bar})" if message.bar is not None else ""
        text = f"{_text(str(message.severity))}: {_text(message.text)}{bar}"
        linked = message.place in content.where
        words = f'<a href="#found-{number}">{text}</a>' if linked else text
        yield f'<li class="{_text(str(message.severity))}">{words} <code>{_text(message.rule)}</code> '
        yield f"<small>{_text(str(message.place))}</small></li>\n"
    yield "</ol>\n</section>\n"


def _music(content: Content) -> Iterator[str]:
    yield '<section aria-labelledby="music"><h2 id="music" tabindex="-1">Music</h2>\n'
    yield _LEGEND
    yield _SIZE
    yield '<div id="pages">\n'
    for number, sheet in enumerate(content.engraved.sheets):
        label = f"page {number + 1} of {len(content.engraved.sheets)}"
        size = f"{sheet.width:g} {sheet.height:g}"
        yield f'<div class="sheet"><svg viewBox="0 0 {size}" role="group" aria-label="{label}">\n'
        yield f'<image width="{sheet.width:g}" height="{sheet.height:g}" aria-hidden="true" '
        yield f'href="data:image/{sheet.kind};base64,{b64encode(sheet.data).decode()}"/>\n'
        for index, message in enumerate(content.findings):
            spot = content.where.get(message.place)
            if spot is not None and spot.box.page == number:
                yield _flag(index, message, spot)
        yield from _marks(content, number)
        yield "</svg></div>\n"
    yield "</div>\n</section>\n"


def _marks(content: Content, page: int) -> Iterator[str]:
    """The digits of a page, those of one placing as a group that says its fingering."""
    own = (pair for pair in zip(content.marks, content.names, strict=True) if pair[0].spot.box.page == page)
    for figure, group in groupby(own, key=lambda pair: pair[0].figure):
        if figure is not None:
            yield f'<g role="group" aria-label="{_text(content.figures[figure])}">\n'
        for mark, name in group:
            yield _mark(mark, content.shown[mark.digit], name)
        if figure is not None:
            yield "</g>\n"


def _flag(index: int, message: Message, spot: Spot) -> str:
    x, y = spot.box.x - 2, spot.box.y + spot.box.height / 2
    points = f"{x:.1f},{y:.1f} {x - 5:.1f},{y - 3:.1f} {x - 5:.1f},{y + 3:.1f}"
    label = _text(f"Finding {index + 1}, {message.severity}: {message.text}")
    return (
        f'<g class="flag" id="found-{index}" tabindex="-1" role="img" aria-label="{label}">'
        f'<polygon points="{points}"/></g>\n'
    )


def _mark(mark: Mark, shown: Shown, name: str) -> str:
    """A digit's place on the page. Locked ones have a box, suggested ones a line below, silent ones a dotted box."""
    box, pad = mark.spot.box, 1.2
    x, y, width, height = box.x - pad, box.y - pad, box.width + 2 * pad, box.height + 2 * pad
    figure = "" if mark.figure is None else f' data-figure="{mark.figure}"'
    shape = f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" rx="1"/>'
    line = f'<path d="M{x:.1f} {y + height:.1f}h{width:.1f}"/>' if shown.kind is Kind.SUGGESTED else ""
    text = f'<text x="{box.x + box.width / 2:.1f}" y="{box.y + box.height:.1f}" hidden=""></text>'
    return (
        f'<g class="digit {shown.kind}" role="button" tabindex="-1" aria-pressed="false" data-digit="{mark.digit}"'
        f'{figure} aria-label="{_text(name)}">{shape}{line}{text}</g>\n'
    )


_SIGNS = (
    ("suggested", "suggested: a line below"),
    ("locked", "in the source, locked: a box"),
    ("silent", "planned, not printed: a dotted box"),
    ("chosen", "chosen here: a heavy box"),
)
_SIGN = (
    '<svg width="22" height="18" aria-hidden="true" class="digit {}"><rect x="3" y="2" width="16" height="13" rx="1"/>'
)
_LINE = '<path d="M3 15h16"/>'
_LEGEND = (
    '<ul class="legend">\n'
    + "".join(
        f"<li>{_SIGN.format(kind)}{_LINE if kind == 'suggested' else ''}</svg> {words}</li>\n" for kind, words in _SIGNS
    )
    + """<li><svg width="22" height="18" aria-hidden="true" class="flag"><polygon points="16,9 5,3 5,15"/></svg>
a finding</li>
</ul>
<p class="help">Click a digit, or go into the music with Tab, from digit to digit with the arrow keys, and open one with
Enter; Escape leads back to it. A tap takes the nearest digit, and those close to it are in the panel, as buttons.</p>
"""
)

_SIZE = """<div class="size" role="group" aria-label="Size of the music" hidden>
<button type="button" id="smaller" aria-disabled="true">Smaller</button>
<button type="button" id="larger">Larger</button>
<span id="size" role="status"></span>
</div>
"""

_ASIDE = """<aside id="panel" aria-labelledby="panel-title">
<div class="row"><h2 id="panel-title" tabindex="-1">The digit</h2>
<button type="button" id="close" hidden>Back to the music</button></div>
<div id="about"><p>Choose a digit in the music.</p></div>
</aside>
<p id="said" role="status" class="unseen"></p>
"""

_CHOICES = """<section id="choices" class="empty" aria-labelledby="choices-title">
<h2 id="choices-title">Your choices</h2>
<p id="count" role="status">None yet.</p>
<ul id="chosen"></ul>
<div id="patch" hidden>
<label for="edit">The edits in the source, as a diff</label>
<textarea id="edit" readonly rows="8" spellcheck="false"></textarea>
<button type="button" data-copy="edit">Copy the edits</button>
<button type="button" id="save-edit">Save the edits as a patch</button>
<p>For <code>patch -p0</code> or <code>git apply -p0</code>, from the folder that the proof was made in.
<span id="bytes" hidden>Here are lines that a copy would change (bytes that are no UTF-8, or line ends of Windows): save
the patch, which has them as they are.</span></p>
<label for="locks">All choices in one file, for <code>lyfinger mark FILE --locks LOCKS</code></label>
<textarea id="locks" readonly rows="6" spellcheck="false"></textarea>
<button type="button" data-copy="locks">Copy the locks</button>
<button type="button" id="save">Save the locks as a file</button>
<p>Costs are those of one choice at a time. <code>mark --locks</code> puts the chosen digits in and plans the rest
around all of them.</p>
</div>
</section>
"""
