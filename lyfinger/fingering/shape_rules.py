"""Rules of one hand's shape: which fingers an interval or a chord takes, and what strains the hand.

The same rules judge a chord and a placing whose strings are played in turn.
"""

from __future__ import annotations

from itertools import pairwise

from .views import Order, Shape, Strike

_TRAINED = {(2, 1): (1, 3), (3, 1): (4, 5), (4, 1): (6, 99)}
"""The distances in strings that a pair has learned; low finger, high finger → from, to."""
_AWAY = (0, 100, 175, 250, 325, 400)
_ALL_FINGERS = 4
_SEVENTH, _SEVENTH_BY_THREE = 6, 75
_NO_THUMB = 225
_TURN_INSIDE, _TURN_OUTSIDE = 7, 13
_SHORT = {1: 50, 2: 30, 3: 4, 4: 0}


def _untrained(fingers: tuple[int, ...], distance: int) -> int:
    """How far ``distance`` strings lie from what the pair has learned, in hundredths of one interval."""
    low, high = fingers
    if (low, high) not in _TRAINED:
        return _NO_THUMB
    if (low, high) == (3, 1) and distance == _SEVENTH:
        return _SEVENTH_BY_THREE
    least, most = _TRAINED[low, high]
    return _AWAY[min(max(least - distance, distance - most, 0), len(_AWAY) - 1)]


def trained_pair(shape: Shape) -> int:
    """Two strings are taken by the two fingers that have learned their distance.

    Applies when: a placing has two strings, struck together or in turn. 2nd to 4th 2–1, 5th and 6th 3–1, octave and
    wider 4–1; a 7th 4–1 alone, with 3–1 close behind.
    Cost: hundredths for each interval away from the learned ones (100, 175, 250 …; a 7th with 3–1: 75; without the
    thumb: 225), less in proportion where the hand does not fit the harp (Reach.habit).
    Interacts with: stretch and cramp, which shift the pair for a small or large hand; shape-change, which keeps the
    neighbours' pair.
    Source: [T]; [P] Learning the Harp, 10 Rules of Harp Fingering.
    """
    if len(shape.strings) != 2:
        return 0
    away = _untrained(shape.fingers, shape.strings[1] - shape.strings[0])
    return (away * shape.reach.habit + 500) // 1000


def _trained_three(lower: int, upper: int) -> tuple[int, ...]:
    """The usual fingers for three strings: ``lower`` and ``upper`` are the two distances in strings."""
    if lower + upper <= _SEVENTH:
        return (3, 2, 1)
    return (4, 3, 1) if upper >= 5 and lower <= 2 else (4, 2, 1)


def three_finger_shape(shape: Shape) -> int:
    """Three strings are taken in the shape that the hand has learned for them.

    Applies when: a placing has three strings. Within a sixth, and in a seventh, 3 2 1; from the octave on 4 2 1, but
    4 3 1 where the middle note lies a 6th or more under the thumb and no more than a 3rd over the ring finger.
    Cost: 100 for another shape, 200 without the thumb, in proportion to Reach.habit.
    Interacts with: gap-between-fingers and stretch, which open 4 2 1 to a small hand; shape-change, which keeps
    4 3 1 for a seventh among octave chords.
    Source: [T]; [P] Simple Harp, Accords sur 3 doigts (close triads).
    """
    if len(shape.strings) != 3:
        return 0
    return (_unusual(shape.strings, shape.fingers) * shape.reach.habit + 500) // 1000


def _unusual(strings: tuple[int, ...], fingers: tuple[int, ...]) -> int:
    """How far three fingers are from the shape that the hand has learned for three strings, in hundredths."""
    low, middle, high = strings
    if fingers == _trained_three(middle - low, high - middle):
        return 0
    return 100 if 1 in fingers else 200


def _millimetres(micrometres: int) -> int:
    return (micrometres + 500) // 1000


def stretch(shape: Shape) -> int:
    """Opening the thumb wider than is easy.

    Applies when: the thumb and another finger stand further apart than their easy spread: the thumb with the finger
    beside it in the shape, and with the lowest.
    Cost: millimetres over the easy spread.
    Interacts with: trained-pair and three-finger-shape. A 5th and more between thumb and index stays cheap.
    Source: [T]; [P] The Harp Legacy Project, Typical Compositional Issues. The millimetres are calibrated.
    """
    if len(shape.strings) < 2 or shape.fingers[-1] != 1:
        return 0
    over = 0
    for place in {0, len(shape.strings) - 2}:
        span = shape.reach.span(shape.strings[place], shape.strings[-1])
        over += max(0, span - shape.reach.spread(shape.fingers[place], 1).easy)
    return _millimetres(over)


def gap_between_fingers(shape: Shape) -> int:
    """Opening two fingers against each other: the gap belongs beside the thumb.

    Applies when: two neighbours in the shape, neither of them the thumb, stand further apart than their easy spread.
    Cost: millimetres over the easy spread; four times as much between 3 and 4, unless all four fingers are needed: in
    a four-note chord with the octave outside a 4th there is usual.
    Interacts with: three-finger-shape: a 4th between 3 and 4 makes 4 2 1 of 4 3 1.
    Source: [T]; [P] The Harp Legacy Project, Typical Compositional Issues. The millimetres are calibrated.
    """
    over, chosen = 0, len(shape.fingers) < 4
    for place, (low, high) in enumerate(pairwise(shape.fingers)):
        if high != 1:
            span = shape.reach.span(shape.strings[place], shape.strings[place + 1])
            over += max(0, span - shape.reach.spread(low, high).easy) * (4 if (low, high) == (4, 3) and chosen else 1)
    return _millimetres(over)


def cramp(shape: Shape) -> int:
    """Crowding fingers that have a free one between them.

    Applies when: two neighbours in the shape stand closer than their cramped spread (1–3, 1–4 and 2–4).
    Cost: millimetres under the cramped spread.
    Interacts with: trained-pair: it moves the large hand to closer pairs.
    Source: from memory [M]; the millimetres are calibrated.
    """
    under = 0
    for place, (low, high) in enumerate(pairwise(shape.fingers)):
        span = shape.reach.span(shape.strings[place], shape.strings[place + 1])
        under += max(0, shape.reach.spread(low, high).cramped - span)
    return _millimetres(under)


def thumb_on_top(shape: Shape) -> int:
    """The thumb takes the highest string of a shape.

    Applies when: a placing of two strings or more does without the thumb.
    Cost: 1 each time.
    Interacts with: short-placing.
    Source: [T]; [P] D. Hall, The Complete Chromatic Harp (the thumb is highest in both hands).
    """
    return int(len(shape.fingers) > 1 and shape.fingers[-1] != 1)


def short_placing(shape: Shape) -> int:
    """Figures are placed in threes and fours.

    Applies when: a placing has fewer than four strings.
    Cost: 50 for one string, 30 for two, 4 for three.
    Interacts with: lone-note; placing and the two crossings: six notes up are 3 2 1 3 2 1, eight 4 3 2 1 4 3 2 1.
    Source: [P] D. Hall (groups of 3 2 1 and 4 3 2 1).
    """
    return _SHORT[len(shape.strings)]


def turn(order: Order) -> int:
    """A placing is seen in one direction.

    Applies when: single notes turn round inside a placing to a string that it has not sounded yet. Turning back over
    strings already set is free: C E G C G E stays in 4 3 2 1.
    Cost: 13 for each such turn; 7 where the string lies between two that have sounded, and so under the hand.
    Interacts with: placing: C G E G is still one placing, 3 1 2 1.
    Source: [P] Melody's Traditional Music, Brackets and Placing (groups in one direction).
    """
    turns, sounded, direction, last = 0, set[int](), 0, None
    for strings in order.strings:
        here = strings[0] if len(strings) == 1 else None
        if here is None or last is None:
            direction = 0
        elif here != last:
            way = 1 if here > last else -1
            if direction == -way and here not in sounded:
                turns += _TURN_INSIDE if min(sounded) < here < max(sounded) else _TURN_OUTSIDE
            direction = way
        sounded.update(strings)
        last = here
    return turns


def four_string_placing(order: Order) -> int:
    """A learner places in threes.

    Applies when: four strings are set in one placing though they are not all struck together. At the standard and the
    advanced level this has no weight: a four is as good as a three.
    Cost: 1 each time.
    Interacts with: placing and short-placing, which would rather have fours.
    Source: common practice of teaching [T]; what it weighs for a learner is from memory [M].
    """
    strings = {string for onset in order.strings for string in onset}
    return int(len(strings) == _ALL_FINGERS and len(order.strings[0]) < _ALL_FINGERS)


def chord_inside_placing(strike: Strike) -> int:
    """Notes struck together take a good pair even where more strings are set with them.

    Applies when: two or three notes are struck together inside a placing of more strings.
    Cost: as trained-pair; for three notes twice what three-finger-shape counts. Without the thumb the whole of it, for
    every hand.
    Interacts with: trained-pair and three-finger-shape, which judge a placing of just these strings; thumb-at-leisure.
    Source: [T], from the rows of trained-pair.
    """
    size, strings = len(strike.fingers), strike.onset.strings
    if size < 2 or size == strike.shape:
        return 0
    if size == 2:
        away = _untrained(strike.fingers, strings[1] - strings[0])
    else:
        away = 2 * _unusual(strings, strike.fingers)
    return away if strike.fingers[-1] != 1 else (away * strike.reach.habit + 500) // 1000
