"""Sources damaged by chance: what an editor's slip, a bad merge or a broken disk leaves."""

from __future__ import annotations

import random
import re
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
#: Numbers and ratios that nobody means.
MONSTERS = (
    *(b"\\repeat unfold 1000000000 { c'4 e' } ", b"\\repeat volta 0 { c'4 } ", b"\\repeat tremolo -8 { c'16 e' } "),
    *(b"\\repeat percent 1000000000 { c'4 } ", b"\\repeat unfold 3000 { \\repeat unfold 3000 { c'4 } } "),
    *(b"\\times 0/3 { c'4 } ", b"\\times 3/0 { c'4 } ", b"\\tuplet -3/2 { c'4 } ", b"\\tuplet 0/0 { c'4 } "),
    *(b"\\scaleDurations 0/1 { c'4 d' } ", b"\\scaleDurations -1/2 { c'4 } ", b"\\scaleDurations #'(1 . 0) { c'4 } "),
    *(
        b"c'4*0 ",
        b"c'4*1/0 ",
        b"c'4*0/7 ",
        b"c'4*1000000000/7 ",
        b"c'1073741824 ",
        b"c'0 ",
        b"c'3 ",
        b"R1*0 ",
        b"R1*999999 ",
    ),
    *(b"\\time 0/4 ", b"\\time 4/0 ", b"\\time 1/1000000000 ", b"\\time -3/4 ", b"\\time 1000000000/1 "),
    *(b"\\partial 4*0 ", b"\\partial 1*1000000 ", b"\\tempo 4 = 0 ", b"\\tempo 4*0 = 60 ", b"\\tempo 4 = -60 "),
    *(
        b"\\tempo 4 = 99999999999999999999 ",
        b"c" + b"'" * 3000 + b"4 ",
        b"c" + b"," * 3000 + b"4 ",
        b"c'4" + b"." * 3000 + b" ",
    ),
    *(b"c'" + b"9" * 100_000 + b" ", b"\\time " + b"7" * 100_000 + b"/4 ", b"\\tempo 4 = " + b"1" * 100_000 + b" "),
    *(
        b"c'4-" + b"1" * 100_000 + b" ",
        b"\\repeat unfold " + b"2" * 5_000 + b" { c'4 } ",
        b"c'4:" + b"3" * 5_000 + b" ",
    ),
    *(
        b"c'4:0 ",
        b"c'4:1000000000 ",
        b"c'4:32768 ",
        b"\\transpose c c" + b"'" * 500 + b" ",
        b"\\finger " + b"8" * 5_000 + b" ",
    ),
    *(b"\\set Score.currentBarNumber = #-5 ", b"\\set Score.measureLength = #(ly:make-moment 0 1) "),
    *(b"\\afterGrace 0/0 c'4 d'8 ", b"\\skip 1*1000000000 ", b"\\set fontSize = #1e999 ", b"\\after 4*0/0 c'4 d'4 "),
)
#: What a bracket is when it is opened again and again.
OPENINGS = (
    *((b"{ ", b"} "), (b"<< ", b">> "), (b"<", b">"), (b"( ", b") "), (b"[ ", b"] "), (b"#(", b")"), (b"#{ ", b"#} ")),
    *((b"\\markup { ", b"} "), (b"\\tuplet 3/2 { ", b"} "), (b"\\relative c' { ", b"} "), (b"\\new Staff { ", b"} ")),
    *(
        (b"\\grace { ", b"} "),
        (b"\\repeat volta 2 { ", b"} "),
        (b"\\repeat unfold 2 ", b""),
        (b"\\transpose c d ", b""),
    ),
    *((b"%{ ", b"%} "), (b'"', b'" '), (b"\\score { ", b"} "), (b"\\book { ", b"} "), (b"\\parenthesize ", b"")),
    *((b"\\tweak color #red ", b""), (b"\\with { ", b"} "), (b"\\lyricmode { ", b"} "), (b"c'4\\tweak color ", b"")),
    *(
        (b"{ c'4 } \\\\ ", b""),
        (b"c'~ ", b""),
        (b"\\new PianoStaff << ", b">> "),
        (b"\\header { ", b"} "),
        (b"a.", b""),
    ),
)
#: Files that are no part of the score.
STRANGE_FILES = (
    *(
        "/dev/null",
        "/dev/zero",
        "/dev/stdin",
        "/dev/tty",
        "/proc/self/environ",
        "/proc/self/mem",
        "/etc/passwd",
        "/",
        ".",
        "..",
    ),
    *(
        "../../../../../../../../etc/hostname",
        "x" * 5000,
        "no\ufffdsuch",
        "a\nb.ly",
        "pipe.ily",
        "binary.ily",
        "loop.ily",
        "english.ly",
        "",
    ),
)
ENCODINGS = ("latin-1", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-8-sig", "cp1252", "utf-7", "cp037")
LINE_ENDS = (b"\r", b"\r\n", b"\n\r", b"\xe2\x80\xa8", b"\xe2\x80\xa9", b"\xc2\x85", b"\x0b", b"\x0c", b"\x1c", b" ")
NO_TEXT = (
    b"\xed\xa0\x80",
    b"\xed\xbf\xbf",
    b"\0",
    b"\xf4\x90\x80\x80",
    b"\xc0\x80",
    b"\xfe\xff",
    b"\xef\xbf\xbe",
    b"\x1a",
    b"\x7f",
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


def recode(data: bytes, chance: random.Random) -> bytes:
    return data.decode("utf-8", "replace").encode(chance.choice(ENCODINGS), "replace")


def other_line_ends(data: bytes, chance: random.Random) -> bytes:
    if chance.random() < 0.5:
        return data.replace(b"\n", chance.choice(LINE_ENDS))
    return b"".join(line + chance.choice(LINE_ENDS) for line in data.split(b"\n"))


def no_text(data: bytes, chance: random.Random) -> bytes:
    return _between_words(data, chance.choice(NO_TEXT), chance)


def monster(data: bytes, chance: random.Random) -> bytes:
    return _between_words(data, chance.choice(MONSTERS), chance)


def monster_number(data: bytes, chance: random.Random) -> bytes:
    numbers = list(re.finditer(rb"\d+", data))
    if not numbers:
        return data
    found = chance.choice(numbers)
    return (
        data[: found.start()] + chance.choice((b"0", b"-1", b"1000000000", b"7" * 4301, b"1/0")) + data[found.end() :]
    )


def bury(data: bytes, chance: random.Random) -> bytes:
    opening, closing = chance.choice(OPENINGS)
    depth = chance.choice((10, 100, 149, 152, 1000, 5000))
    closed = chance.choice((0, depth, depth, depth - 1, depth + 1))
    if chance.random() < 0.3:
        return opening * depth + data + closing * closed
    return _between_words(data, opening * depth + b"c'4 " + closing * closed, chance)


def strange_include(data: bytes, chance: random.Random) -> bytes:
    return _between_words(data, f'\\include "{chance.choice(STRANGE_FILES)}"\n'.encode(), chance)


def graft(data: bytes, chance: random.Random) -> bytes:
    """A piece of the source itself, moved to where it makes no sense."""
    words = data.split(b" ")
    start = chance.randrange(len(words))
    piece = b" ".join(words[start : start + chance.randrange(1, 30)])
    return _between_words(data, piece + b" ", chance)


def _between_words(data: bytes, piece: bytes, chance: random.Random) -> bytes:
    gaps = [found.end() for found in re.finditer(rb"\s", data)]
    at = chance.choice(gaps) if gaps else 0
    return data[:at] + piece + data[at:]


ALL: tuple[Damage, ...] = (
    cut_end, cut_out, cut_out, put_in, put_in, put_in_several, shuffle_lines, shuffle_words, double, random_bytes,
    recode, other_line_ends, no_text, monster, monster, monster, monster_number,
    bury, bury, strange_include, graft, graft,
)  # fmt: skip


def damaged(data: bytes, chance: random.Random) -> bytes:
    """``data`` after one to three accidents."""
    for _ in range(chance.choice((1, 1, 2, 3))):
        data = chance.choice(ALL)(data, chance)
    return data
