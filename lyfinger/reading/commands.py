"""How the interpreter treats commands, by name. Whatever stands in no table here is opaque if it takes music,
and silent (no time, no notes) if it takes none."""

from __future__ import annotations

PASSED_THROUGH = frozenset(
    """
    allowPageTurn alterBroken balloonText chordRepeats compressMMRests crossStaff deadNote
    displayLilyMusic displayMusic endSpanners eventChords footnote harmonicByFret harmonicByRatio harmonicNote hide
    ligature magnifyMusic notemode offset omit once palmMute parenthesize propertyTweak shape
    tabChordRepeats styledNoteHeads temporary tweak undo vshape withMusicProperty xNote \\= alternative unfolded volta
    tag quoteDuring cueDuring cueDuringWithClef transposedCueDuring killCues
    """.split()
)
"""Commands whose (last) music sounds as it is written."""

GRACES = frozenset({"grace", "acciaccatura", "appoggiatura", "slashedGrace"})

SIDES = {
    "voiceOne": 1,
    "voiceTwo": -1,
    "voiceThree": 1,
    "voiceFour": -1,
    "oneVoice": 0,
    "stemUp": 1,
    "stemDown": -1,
    "stemNeutral": 0,
}
"""Commands that give the voice a direction of its own."""

MARKS = {
    "accent": "accent",
    "marcato": "marcato",
    "staccato": "staccato",
    "tenuto": "tenuto",
    "arpeggio": "arpeggio",
    "glissando": "glissando",
    "flageolet": "flageolet",
    "harmonic": "flageolet",
    "laissezVibrer": "laissezVibrer",
    "(": "slurStart",
    ")": "slurEnd",
    "\\(": "phraseStart",
    "\\)": "phraseEnd",
    "[": "beamStart",
    "]": "beamEnd",
    "trill": "trill",
    "startTrillSpan": "trill",
    "tremolo": "tremolo",
    "stopped": "muffled",
    "fermata": "fermata",
    "shortfermata": "fermata",
    "longfermata": "fermata",
    "veryshortfermata": "fermata",
    "verylongfermata": "fermata",
    "henzeshortfermata": "fermata",
    "henzelongfermata": "fermata",
}
"""What a post-event is called in :class:`..score.model.Note`."""

BREATHS = frozenset({"breathe", "caesura"})
