"""The names of LilyPond's own include files, which it finds before any ``-I`` directory.

Source: the directory listings of ``ly/`` in LilyPond 2.24.1 (Debian's ``lilypond-data``) and 2.25.12 (PyPI's
``lilypond``); a test compares the second with the installed package.
"""

from __future__ import annotations

_LISTING = """
    ancient-init.ly arabic.ly articulate.ly bagpipe.ly base-tkit.ly catalan.ly chord-modifiers-init.ly
    chord-repetition-init.ly context-mods-init.ly declarations-init.ly deutsch.ly drumpitch-init.ly
    dynamic-scripts-init.ly english.ly engraver-init.ly espanol.ly event-listener.ly festival.ly
    generate-documentation.ly grace-init.ly graphviz-init.ly gregorian.ly guile-debugger.ly hel-arabic.ly init.ly
    internal-backend-test.ly italiano.ly lilypond-book-preamble.ly lyrics-tkit.ly makam.ly midi-init.ly
    music-functions-init.ly nederlands.ly norsk.ly paper-defaults-init.ly performer-init.ly persian.ly
    piano-tkit.ly portugues.ly predefined-fretboards-init.ly predefined-guitar-fretboards.ly
    predefined-guitar-ninth-fretboards.ly predefined-mandolin-fretboards.ly predefined-ukulele-fretboards.ly
    property-init.ly satb.ly scale-definitions-init.ly scheme-sandbox.ly script-init.ly spanners-init.ly
    ssaattbb.ly staff-tkit.ly string-tunings-init.ly suomi.ly svenska.ly swing.ly text-replacements.ly
    titling-init.ly toc-init.ly turkish-makam.ly vlaams.ly vocal-tkit.ly voice-tkit.ly
"""

TYPESETTERS_FILES = frozenset(_LISTING.split())
