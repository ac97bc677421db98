"""Sources damaged by chance: what an editor's slip, a bad merge or a broken disk leaves."""

from __future__ import annotations

import random
from collections.abc import Callable

Damage = Callable[[bytes, random.Random], bytes]

_WORDS = r"""{ } < > << >> \\ " %{ %} #( ) #{ #} ^1 _4 -5 ~ ' , = * 4 .. :32 | q 1/0 $x \relative \grace \nosuch \markup
\alternative \score -\tweak \new"""
PIECES = (
    *(f"{word} ".encode() for word in _WORDS.split()),
    *(word.encode() for word in _WORDS.split()),
    *(b"\\repeat unfold 3 ", b"\\tuplet 3/2 ", b"\\new Staff ", b"\\partial 8 ", b"\\time 3/8 ", b"\\transpose c d "),
    *(b'\\language "deutsch" ', b'\\include "global.ily" ', b'\\change Staff = "upper" '),
    *(b"\r", b"\t", b"\xef\xbb\xbf", b"\xff", b"\xc3"),
)


def cut_end(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def cut_out(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + data[at + chance.choice((1, 1, 2, 5, 40, 400)) :]


def put_in(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice(PIECES) + data[at:]


def put_in_several(data: bytes, chance: random.Random) -> bytes:
    for _ in range(chance.randrange(2, 6)):
        data = put_in(data, chance)
    return data


def shuffle_lines(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    at = chance.randrange(len(lines))
    some = lines[at : at + chance.randrange(2, 12)]
    chance.shuffle(some)
    return b"\n".join([*lines[:at], *some, *lines[at + len(some) :]])


def shuffle_words(data: bytes, chance: random.Random) -> bytes:
    words = data.split(b" ")
    at = chance.randrange(len(words))
    some = words[at : at + chance.randrange(2, 10)]
    chance.shuffle(some)
    return b" ".join([*words[:at], *some, *words[at + len(some) :]])


def double(data: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(data) + 1)
    stop = start + chance.randrange(1, 200)
    return data[:stop] + data[start:stop] + data[stop:]


def random_bytes(data: bytes, chance: random.Random) -> bytes:
    damaged = bytearray(data)
    for _ in range(chance.randrange(1, 8)):
        if damaged:
            damaged[chance.randrange(len(damaged))] = chance.randrange(1, 256)
    return bytes(damaged)


ALL: tuple[Damage, ...] = (
    cut_end, cut_out, cut_out, put_in, put_in, put_in_several, shuffle_lines, shuffle_words, double, random_bytes,
)  # fmt: skip


def damaged(data: bytes, chance: random.Random) -> bytes:
    """``data`` after one to three accidents."""
    for _ in range(chance.choice((1, 1, 2, 3))):
        data = chance.choice(ALL)(data, chance)
    return data
