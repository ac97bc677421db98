r"""``\parallelMusic``: bars that are dealt out to several variables in turn."""

from __future__ import annotations

from typing import Any

from .syntax import Applied, Command, Node, Opaque, Sequential


def deal(names: tuple[str, ...], body: Any, start: int, end: int) -> dict[str, Node]:
    """The music of each variable: the bars of ``body``, divided by ``|``.

    Where the bars can't be told apart, each variable holds a passage that isn't followed.
    """
    if not isinstance(body, Sequential):
        reason = "only music in plain braces can be dealt out by \\parallelMusic"
        return {name: Opaque(start, end, reason) for name in names}
    unclear = next((item for item in body.items if _is_opaque(item)), None)
    if unclear is not None:
        reason = "\\parallelMusic has something in it that is not followed"
        return {name: Opaque(start, end, reason) for name in names}
    shares: list[list[Any]] = [[] for _ in names]
    bar = 0
    for item in body.items:
        shares[bar % len(names)].append(item)
        bar += isinstance(item, Command) and item.name == "|"
    return {
        name: Sequential(body.start, body.end, items, list(body.comments))
        for name, items in zip(names, shares, strict=True)
    }


def _is_opaque(item: Any) -> bool:
    return (isinstance(item, Opaque) and not item.silent) or (isinstance(item, Applied) and item.name == "foreign")
