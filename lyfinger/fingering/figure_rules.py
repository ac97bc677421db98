"""Rules of figures: where placings start, and how the hand goes from one to the next."""

from __future__ import annotations

from .views import RECENT, Change, Early, Move, Start, Strike

_THUMB, _RING = 1, 4
_WEAK = {4: 2, 3: 1}
_UNDER = {4: 0, 3: 6, 2: 40}
_OVER = {4: 0, 3: 4, 2: 35}
_OTHER_PIVOT = (0, 50)
_CHORD_CROSSED = (20, 90)
"""At leisure, in haste: with time the hand is simply set anew."""
_NATURAL = 2
_SLIDE_DOWN = 22
_HIGH_C, _BRIGHT = 35, 10
"""From this string up a damped string matters as little as this."""
_WITHIN = {(1, 2): 4, (1, 3): 6, (1, 4): 8, (2, 3): 3, (2, 4): 5, (3, 4): 2}


def weak_finger(strike: Strike) -> int:
    """An accent on a single note asks for a strong finger.

    Applies when: a single note has an accent and is played by 4 or 3.
    Cost: 2 for the ring finger, 1 for the middle.
    Interacts with: nothing.
    Source: from memory [M].
    """
    return _WEAK.get(strike.fingers[0], 0) if strike.onset.accent and len(strike.fingers) == 1 else 0


def slur_group(strike: Strike) -> int:
    """A slur and a placing start together where they can.

    Applies when: a slur starts in the middle of a placing.
    Cost: 1 for each slur.
    Interacts with: beat-group.
    Source: from memory [M].
    """
    return int(strike.onset.slur_start and not strike.first)


def rolled_chord(strike: Strike) -> int:
    """A rolled chord is set whole before its first string sounds.

    Applies when: a chord with an arpeggio sign is not the first of its placing.
    Cost: 1 each time.
    Interacts with: placing, which would rather set it with what comes before.
    Source: [T].
    """
    return int(strike.onset.rolled and len(strike.fingers) > 1 and not strike.first)


def trill(strike: Strike) -> int:
    """A trill is played by 2 and 1 in turn, 2 on the written note.

    Applies when: a single note has a trill sign.
    Cost: 1 for another finger than 2.
    Interacts with: nothing.
    Source: [T].
    """
    return int(strike.onset.trill and len(strike.fingers) == 1 and strike.fingers[0] != 2)


def glissando(strike: Strike) -> int:
    """A glissando goes up with 2 and down with the thumb.

    Applies when: a glissando starts on a single note.
    Cost: 1 for another finger.
    Interacts with: the rules between placings, which leave a glissando's step alone.
    Source: up [P] K. Gibson, When Fingers Meet Strings; down [T].
    """
    if not strike.glide or len(strike.fingers) != 1:
        return 0
    return int(strike.fingers[0] != (2 if strike.glide > 0 else _THUMB))


def beat_group(start: Start) -> int:
    """Placings start on beats where they can.

    Applies when: a placing starts off the beat.
    Cost: 1 each time.
    Interacts with: short-placing and the crossings: it chooses between 4 3 2 1 3 2 1 and 3 2 1 4 3 2 1.
    Source: from memory [M].
    """
    return int(start.onset.stress == 0)


def _pressed(haste: int) -> int:
    """0 at leisure to 100 in haste, with the square: a fault in a fast figure hardly matters in a moderate one."""
    return haste * haste // 10_000


def struck_again(move: Move) -> int:
    """The same string twice running in fast single notes changes fingers.

    Applies when: a single note is followed by the same string with the same finger. In repeated chords the shape wins.
    Cost: 0 slow to 100 fast, growing with the square of the haste.
    Interacts with: placing and short-placing, the price of the change.
    Source: [P] T. Goss, Orchestration Online (a fast repeat is poor writing).
    """
    same = move.single and move.leap == 0 and move.before_fingers == move.after_fingers
    return _pressed(move.haste) if same and not move.glide else 0


def buzz(early: Early) -> int:
    """A finger is not put back on a string that still sounds: it damps it and may buzz, worse low and soon.

    Applies when: a placing sets a string that it does not begin with, and that has sounded in one of the five onsets
    before it. (Where a placing begins, and where a shape goes on, a struck string is struck again by any fingering.)
    Cost: 0 slow to 10 fast, growing with the square of the haste, less by a fifth for each onset further back; times
    10 from C5 up and one more for each string lower: 24 at C3, 38 at C1. With time the finger is set late.
    Interacts with: placing and short-placing, which would set many strings at once; turn.
    Source: [P] Sibelius Academy, Harp Notation (tremolo); T. Goss, Orchestration Online. The numbers are from memory
    [M].
    """
    low = _BRIGHT + max(0, _HIGH_C - early.string)
    return _pressed(early.haste) * (RECENT + 1 - early.ago) * low // (10 * RECENT)


def thumb_at_leisure(move: Move) -> int:
    """With time enough a chord is set for itself, the thumb on its top string.

    Applies when: a chord shares a placing with a single note on another string, before or after it, and does without
    the thumb.
    Cost: tenths of the time that is left (100 at leisure, 0 in haste).
    Interacts with: chord-inside-placing, which counts whatever the tempo; placing and hop, the price of setting anew.
    Source: [T] thumb on the top; that time decides is from memory [M].
    """
    before, after = move.before, move.after
    if (len(before) > 1) == (len(after) > 1) or set(before) & set(after):
        return 0
    fingers = move.before_fingers if len(before) > 1 else move.after_fingers
    return 0 if fingers[-1] == _THUMB else 100 - move.haste // 10


def chord_after_chord(move: Move) -> int:
    """A chord is placed for itself.

    Applies when: two chords running share a placing and neither contains the other.
    Cost: 1 each time.
    Interacts with: placing and short-placing, which would rather set both at once; shape-change.
    Source: [T], from the rows of trained-pair for intervals in a row.
    """
    if len(move.before) == 1 or len(move.after) == 1:
        return 0
    before, after = set(move.before), set(move.after)
    return int(not (before <= after or after <= before))


def _slides(move: Move) -> bool:
    """Whether one finger goes on to the neighbouring string without lifting: 1 down, the others up."""
    if not move.single or move.before_fingers != move.after_fingers:
        return False
    return move.leap == (-1 if move.before_fingers[0] == _THUMB else 1)


def placing(move: Move) -> int:
    """A figure is taken in as few placings as it can be.

    Applies when: the hand is set anew without a free lift between. A slide carries on and is not counted.
    Cost: 40 at leisure to 100 in haste, for each placing after the first: with time the hand may well go.
    Interacts with: all shape rules, which limit what one placing can hold.
    Source: [P] Melody's Traditional Music, Brackets and Placing.
    """
    return 0 if move.glide or _slides(move) else 40 + move.haste * 60 // 1000


def _awkward(leap: int, haste: int) -> int:
    """A crossing wider than a 3rd, the more awkward the quicker [M]."""
    return max(0, abs(leap) - _NATURAL) * (4 + 12 * haste // 1000)


def _between(ends: tuple[int, int], haste: int) -> int:
    """What lies as far from the first to the second of ``ends`` as the haste says."""
    return ends[0] + (ends[1] - ends[0]) * haste // 1000


def _crosses_chord(move: Move, way: int) -> bool:
    """Whether from a note to a chord, or from a chord to a note, a finger crosses another (``way``: 1 up, −1 down)."""
    if move.glide or (len(move.before) > 1) == (len(move.after) > 1):
        return False
    return any(
        (new - old) * way > 0 and (finger - held) * way > 0
        for old, held in zip(move.before, move.before_fingers, strict=True)
        for new, finger in zip(move.after, move.after_fingers, strict=True)
    )


def cross_under(move: Move) -> int:
    """Going up, a low finger is set above the thumb's string while the thumb still holds.

    Applies when: of two single notes the second is higher and has the lower finger (the higher number); or a note and
    a chord follow each other in that way.
    Cost: 20 (at leisure) to 90 (in haste) with a chord, else 30, and 6 for crossing with 3, 40 with 2 instead of 4;
    0 to 50 where another finger than the thumb is crossed; wider than a 3rd 4 to 16 for each string, the quicker
    the more.
    Interacts with: placing, short-placing, lift.
    Source: [P] S. Ballard; Telenn Vruk, lesson 15. Width in quick notes: [M].
    """
    if not move.single:
        return _between(_CHORD_CROSSED, move.haste) if _crosses_chord(move, 1) else 0
    before, after = move.before_fingers[0], move.after_fingers[0]
    if move.glide or move.leap <= 0 or after <= before:
        return 0
    other = 0 if before == _THUMB else _between(_OTHER_PIVOT, move.haste)
    return 30 + _UNDER[after] + other + _awkward(move.leap, move.haste)


def cross_over(move: Move) -> int:
    """Going down, the thumb is set below the string of 4, 3 or 2.

    Applies when: of two single notes the second is lower and has the higher finger (the lower number); or a note and
    a chord follow each other in that way.
    Cost: 20 (at leisure) to 90 (in haste) with a chord, else 20, and 4 for crossing 3, 35 for crossing 2; 0 to 50
    where another finger than the thumb crosses; width as in cross-under. Going up is the harder one.
    Interacts with: placing, short-placing, slide, lift.
    Source: [P] S. Ballard; Telenn Vruk, lesson 15. Width in quick notes: [M].
    """
    if not move.single:
        return _between(_CHORD_CROSSED, move.haste) if _crosses_chord(move, -1) else 0
    before, after = move.before_fingers[0], move.after_fingers[0]
    if move.glide or move.leap >= 0 or after >= before:
        return 0
    other = 0 if after == _THUMB else _between(_OTHER_PIVOT, move.haste)
    return 20 + _OVER[before] + other + _awkward(move.leap, move.haste)


def slide(move: Move) -> int:
    """The thumb slides to the next lower string.

    Applies when: the thumb plays two neighbouring strings running, the lower one second.
    Cost: 22.
    Interacts with: placing, which a slide spares; short-placing; hop. Five notes down are 1 1 2 3 4.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp.
    """
    return _SLIDE_DOWN if not move.glide and _slides(move) and move.before_fingers[0] == _THUMB else 0


def slide_up(move: Move) -> int:
    """Another finger than the thumb slides to the next higher string, which is tricky.

    Applies when: 4, 3 or 2 plays two neighbouring strings running, the higher one second.
    Cost: 30 for the ring finger, 30 (at leisure) to 100 (in haste) for 2 or 3.
    Interacts with: as slide. Five notes up are 4 4 3 2 1.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp.
    """
    if move.glide or not _slides(move) or move.before_fingers[0] == _THUMB:
        return 0
    return 30 if move.before_fingers[0] == _RING else _between((30, 100), move.haste)


def hop(move: Move) -> int:
    """The same finger on two different strings running: fine when slow, a fault in a fast figure.

    Applies when: a finger moves to another string, unless it slides, and one of the two is a single note.
    Cost: 12 between two single notes, 4 with a chord, and 0 to 100 with the square of the haste.
    Interacts with: slide and slide-up, which take its place on neighbouring strings.
    Source: [T]; [P] E. Volpé Bligh (five notes).
    """
    if move.glide or (len(move.before) > 1 and len(move.after) > 1) or _slides(move):
        return 0
    strings = dict(zip(move.before_fingers, move.before, strict=True))
    hops = any(
        strings.get(finger, string) != string for finger, string in zip(move.after_fingers, move.after, strict=True)
    )
    return (12 if move.single else 4) + _pressed(move.haste) if hops else 0


def lift(move: Move) -> int:
    """Inside a connected run one finger always stays on a string.

    Applies when: between two placings of single notes the hand neither crosses, hops, slides nor strikes again, and
    the two notes lie further apart than the two fingers do in a shape (2–1 a 5th, 3–1 a 7th, 4–1 a 9th; 3–2 and 4–3
    a 4th and a 3rd, 4–2 a 6th), so that the new finger can't be set while the old one still holds.
    Cost: tenths of the haste (0 to 100).
    Interacts with: the crossings. At a long note or a rest the lift is free and no rule is asked.
    Source: [P] Melody's Traditional Music, Brackets and Placing.
    """
    if not move.single or move.glide or move.leap == 0:
        return 0
    before, after = move.before_fingers[0], move.after_fingers[0]
    if (before - after) * move.leap <= 0:
        return 0
    return move.haste // 10 if abs(move.leap) > _WITHIN[min(before, after), max(before, after)] else 0


def grace_group(move: Move) -> int:
    """Grace notes belong to the placing of the note that they lead to.

    Applies when: a placing ends on a grace note.
    Cost: 1 each time.
    Interacts with: placing.
    Source: [T].
    """
    return int(move.grace)


def shape_change(change: Change) -> int:
    """In a run of like shapes it pays not to change fingers.

    Applies when: two placings running have two or three strings each, one as many as the other, and different fingers
    though none of the distances between them changes by more than one string. A sixth after an octave is another
    shape, and takes its own fingers.
    Cost: 1 for each change.
    Interacts with: trained-pair and three-finger-shape: a 5th among 4ths stays 2–1, a 7th takes the fingers of the
    6ths or octaves around it, a three-note seventh among octave chords keeps 4 3 1.
    Source: [T].
    """
    before, after = change.before, change.after
    if before.fingers == after.fingers or not len(before.gaps) == len(after.gaps) > 0:
        return 0
    away = [new - old for old, new in zip(before.gaps, after.gaps, strict=True)]
    return int(all(abs(change) <= 1 for change in (*away, sum(away))))


def lone_note(change: Change) -> int:
    """In a hurried run a note is not placed by itself.

    Applies when: a placing of one string stands before or after another placing.
    Cost: tenths of the haste (0 to 100), on either side.
    Interacts with: short-placing, which counts at leisure too; the slides: five notes down are 1 1 2 3 4.
    Source: [P] Melody's Traditional Music, Brackets and Placing (a player sees two, three or four notes).
    """
    return (int(len(change.before.fingers) == 1) + int(len(change.after.fingers) == 1)) * (change.haste // 10)
