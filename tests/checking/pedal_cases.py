"""Cases for the rules on pedals and levers: rule, music of the right and the left hand; what is said; and its source.

Whole notes at quarter = 72 last 3.3 seconds, eighths 417 ms.
"""

from __future__ import annotations

FLAGGED = [
    (
        "pedal-under-sounding-string",
        "r2 cis''2",
        "c1",
        "the pedal must go to C♯ while C3 of bar 1 still",
        "[T]; [P] Bligh",
    ),
    ("pedal-under-sounding-string", "r2 cis''2", "c1", "D♭5 would serve for C♯5", "[P] Sibelius Academy (twins)"),
    ("pedal-under-sounding-string", "c'2~ c'4 r4", "r2 cis2", "while C4 of bar 1 still sounds", "[T] ties"),
    ("pedal-under-sounding-string", "f''4\\laissezVibrer r2.", "r2 fis2", "F5 of bar 1 is let ring", "[T] l.v."),
    (
        "pedals-of-one-foot",
        "c''4 c''4_\"D# B♭\" c''2",
        "r1",
        "D♯ and B♭ at one moment, and both are the left foot's",
        "[T]",
    ),
    ("pedals-of-one-foot", "<d'' b'>4 <dis'' bis'>2.", "r1", "the left foot's", "[T]"),
    ("pedals-of-one-foot", "<e'' f'>4 <es'' fis'>2.", "r1", "E♭ and F♯ at one moment, and both are the right", "[T]"),
    ("pedals-too-fast", "f''16 g'' fis'' gis'' r2.", "r1", "ms from F♯ to G♯: about two pedals a second", "[P] Bligh"),
    ("pedal-mark-contradicts", "f''1_\"F#\"", "r1", "F♯ is marked here, but F5 is to be played", "[P] Bligh"),
    (
        "pedal-mark-contradicts",
        "fis''1_\\markup \\harp-pedal \"---|----\"",
        "r1",
        "F♮ is marked here, but F♯5 is to be played",
        "[P] Bligh",
    ),
    ("pedal-mark-missing", "f''4_\"D#\" e''4 fis''2", "r1", "the pedal moves to F♯ without a mark", "[T]"),
    ("glissando-setting", "c'2\\glissando c'''2", "r1", "read as D♮ C♮ B♮ | E♮ F♮ G♮ A♮", "[T]"),
    ("glissando-setting", "\\key es \\major c'2\\glissando c'''2", "r1", "read as D♮ C♮ B♭ | E♭ F♮ G♮ A♭", "[T]"),
    ("glissando-setting", "f'4_\"F#\" r4 c'4\\glissando c'''4", "r1", "E♮ F♯ G♮", "[T] key signature and pedals"),
]

UNTOUCHED = [
    ("pedal-under-sounding-string", "r2 cis''2", "c2 r2", "[T] it has ended"),
    ("pedal-under-sounding-string", "r2 cis''2", "cis1", "[P] Bligh: one alteration"),
    ("pedal-under-sounding-string", "r2 des''2", "c1", "[P] Sibelius Academy: the twin"),
    ("pedal-under-sounding-string", "r2 cis''2", "c,,1", "[P] Bligh: C1 has no mechanism"),
    ("pedal-under-sounding-string", "f''4\\laissezVibrer g'' r4 fis'4", "r1", "[T] let ring to the next note"),
    ("pedals-of-one-foot", "c''4 c''4_\"E♭ B♭\" c''2", "r1", "[T] one pedal each foot"),
    ("pedals-of-one-foot", "<d'' b'>4 r2 <dis'' bis'>4", "r1", "[T] in turn, in a rest"),
    ("pedals-of-one-foot", "<d'' b'>4 a'2 <dis'' bis'>4", "r1", "[T] one of them sooner"),
    ("pedals-too-fast", "f''4 g'' fis'' gis''", "r1", "[P] Bligh: 833 ms"),
    ("pedals-too-fast", "f''8 d'' fis'' dis'' r2", "r1", "[P] Bligh: two feet"),
    ("pedal-mark-contradicts", "fis''1_\"F#\"", "r1", "[P] Bligh"),
    ("pedal-mark-contradicts", "f''1^\"F# minor\"", "r1", "no pedal mark"),
    ("pedal-mark-missing", "f''4_\"D#\" e''4_\"F#\" fis''2", "r1", "[T]"),
    ("pedal-mark-missing", "f''4 e''4 fis''2", "r1", "[T] a part without marks: mark --pedals makes them"),
    ("glissando-setting", "r4_\\markup \\harp-pedal \"---|----\" c'\\glissando c'''2", "r1", "[T] shown"),
    ("glissando-setting", "c'2 c'''2", "r1", "[T]"),
]

#: The same on a lever harp of 34 strings in the usual tuning.
LEVER_FLAGGED = [
    ("no-lever", "des''1", "r1", "D♭5: no lever gives it in this tuning; write C♯5", "[P] Perrett"),
    ("no-lever", "fes''1", "r1", "F♭5: no lever gives it in this tuning; write E5", "[P] Perrett"),
    ("lever-without-hand", "f''8 g'' fis'' g'' r2", "c8 d c d r2", "the lever of F5 up for F♯5", "[P] Perrett; [M]"),
]
LEVER_UNTOUCHED = [
    ("no-lever", "<es'' e''>1", "<bes a>1", "[P] Perrett"),
    ("lever-without-hand", "f''4 g''2 fis''4", "c1", "[P] Perrett: the left hand is free"),
    ("lever-without-hand", "<f' fis''>1", "r1", "[P] Perrett: each lever its own string"),
    ("two-alterations", "<f' fis''>1", "r1", "[P] Perrett: each lever its own string"),
]
