"""What was put into a file, found without the product: by comparing the bytes alone."""

from __future__ import annotations

import re

#: A digit as lyfinger writes it: its side, and one finger.
DIGIT = re.compile(rb"[\^_][1-4]")


def inserted(before: bytes, after: bytes) -> list[tuple[int, bytes]]:
    """The digits that ``after`` has more than ``before``, each with the offset in ``before`` where it went in.

    Walks through both at once. Where both go on alike, that is kept: a digit of the source stays the source's.
    Raises AssertionError where ``after`` is not ``before`` and digits.
    """
    found: list[tuple[int, bytes]] = []
    at = position = 0
    while position < len(after):
        digit = DIGIT.match(after, position)
        if digit and not before.startswith(digit[0], at):
            found.append((at, digit[0]))
            position = digit.end()
            continue
        was, now = before[at : at + 40], after[position : position + 40]
        assert was[:1] == now[:1], f"byte {at} of the source is lost or changed: {was!r} became {now!r}"
        at += 1
        position += 1
    assert at == len(before), f"{len(before) - at} bytes are missing at the end"
    return found


def assert_only_digits_added(before: bytes, after: bytes) -> int:
    """Raise AssertionError unless ``after`` is ``before`` and digits, line by line; return how many digits."""
    assert before.count(b"\n") == after.count(b"\n")
    assert before.count(b"\r") == after.count(b"\r")
    assert after.startswith(b"\xef\xbb\xbf") == before.startswith(b"\xef\xbb\xbf")
    return len(inserted(before, after))


def is_within(part: bytes, whole: bytes) -> bool:
    """Whether ``part`` is ``whole`` with some bytes left out: the least that holds of insertions and of deletions."""
    rest = iter(whole)
    return all(byte in rest for byte in part)
