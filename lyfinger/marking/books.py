"""Documents with music in them: each snippet was changed and proven by itself, the document is written as a whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..source.messages import Refused
from ..source.text import SourceFile, Stretch, decode, encode
from .proof import Changed, Outcome, Unchanged


def whole(
    outcomes: Mapping[SourceFile, Outcome], books: Mapping[SourceFile, Sequence[Stretch]]
) -> dict[SourceFile, Outcome]:
    """The outcomes with each document in place of its snippets, which ``books`` leads to, in order.

    Raises Refused, an internal error, if a snippet was changed outside the document.
    """
    parts = {part for snippets in books.values() for part in snippets}
    result = {file: outcome for file, outcome in outcomes.items() if file not in parts}
    for book, snippets in books.items():
        changed = [outcome for part in snippets if isinstance(outcome := outcomes[part], Changed)]
        result[book] = Unchanged(book)
        if changed:
            new = {outcome.file: decode(outcome.data) for outcome in changed}
            data = encode("".join(_pieces(book, snippets, new)))
            result[book] = Changed(book, data, sum(outcome.digits for outcome in changed))
    return result


def _pieces(book: SourceFile, snippets: Sequence[Stretch], new: Mapping[SourceFile, str]) -> Iterator[str]:
    """The text of a document with the changed snippets in their places."""
    at = 0
    for part in snippets:
        yield book.text[at : part.start]
        at = part.start + part.length
        yield _inside(part, new[part]) if part in new else book.text[part.start : at]
    yield book.text[at:]


def _inside(part: Stretch, text: str) -> str:
    lead, behind = part.text[: part.lead], part.text[part.lead + part.length :]
    if not text.startswith(lead) or not text.endswith(behind):
        raise Refused(f"internal error: {part.name} would be changed outside its snippets; nothing is written")
    return text[len(lead) : len(text) - len(behind)]
