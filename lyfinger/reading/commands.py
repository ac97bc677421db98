"""How the interpreter treats commands, by name. Whatever stands in no table here is opaque if it takes music,
and silent (no time, no notes) if it takes none."""

from __future__ import annotations

from .layouts import COUNTING

PASSED_THROUGH = frozenset(
    {
        "\\=",
        "allowPageTurn",
        "alterBroken",
        "alternative",
        "balloonText",
        "compressMMRests",
        "crossStaff",
        "cueDuring",
        "cueDuringWithClef",
        "deadNote",
        "displayLilyMusic",
        "displayMusic",
        "endSpanners",
        "eventChords",
        "footnote",
        "harmonicNote",
        "hide",
        "killCues",
        "ligature",
        "magnifyMusic",
        "notemode",
        "offset",
        "omit",
        "once",
        "palmMute",
        "parenthesize",
        "passedThrough",
        "propertyTweak",
        "quoteDuring",
        "shape",
        "styledNoteHeads",
        "tag",
        "temporary",
        "transposedCueDuring",
        "tweak",
        "undo",
        "unfolded",
        "volta",
        "vshape",
        "withMusicProperty",
        "xNote",
    }
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

STAMPED = frozenset({"time", "partial", "cadenzaOn", "cadenzaOff", "tempo", "clef", "compoundMeter"})
"""Commands that are noted with their moment, for :mod:`.assemble`."""

STAMPED_SETTINGS = COUNTING | {"skipTypesetting", "timeSignatureFraction"}
"""Properties that are noted in the same way where ``\\set`` sets them."""

BREATHS = frozenset({"breathe", "caesura"})
