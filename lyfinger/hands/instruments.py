"""What a name says of the instrument: the harp, another one, or nothing.

Source of the words: common practice, no source. A word that also names a hand's place or an inner part of harp
music (bass, voice, melody, alto) says nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from .words import parts, word_set, words


class Instrument(Enum):
    HARP = "harp"
    OTHER = "other"
    UNSAID = "unsaid"


_HARP = word_set("harp harps harpe harpes arpa arpe harfe harfen harpa arfa hárfa harfa арфа clàrsach clarsach telyn")
_OTHER = word_set(
    """
    flute flutes flûte flauto flauti flöte floete piccolo ottavino oboe oboi hautbois clarinet clarinets clarinetto
    clarinette klarinette bassoon bassoons fagott fagotto basson horn horns corno corni trumpet trumpets tromba
    trompete trompette cornet trombone trombones posaune tuba saxophone sax recorder blockflöte whistle pipes timpani
    timps pauken timbales percussion drums drum triangle cymbals glockenspiel xylophone vibraphone marimba crotales
    celesta celeste piano pianoforte klavier keyboard harpsichord clavecin cembalo clavicembalo organ orgel orgue
    organo harmonium accordion guitar gitarre guitare chitarra lute laute liuto mandolin banjo ukulele violin violins
    violino violini violine violon violons fiddle viola violas viole bratsche cello celli violoncello violoncelle
    contrabass contrabasso kontrabass contrebasse strings streicher soprano sopran tenor ténor tenore baritone bariton
    singer vocal vocals canto chant gesang choir chor choeur
    """
)
_NOT_PLAYED = word_set("ossia cue cues stichnoten")


def instrument(names: Iterable[str]) -> Instrument:
    """What the names of one staff or group say, all together: the harp is believed first.

    >>> instrument(["harpRight"]).value, instrument(["Flauto 1", "up"]).value, instrument(["harpsichord"]).value
    ('harp', 'other', 'other')
    """
    said = {part for name in names for word in words(name) for part in parts(word)}
    if said & _HARP:
        return Instrument.HARP
    return Instrument.OTHER if said & _OTHER else Instrument.UNSAID


def is_alternative(names: Iterable[str]) -> bool:
    """Whether a staff holds cues or an ossia, which sound with the music that they stand for."""
    return any(word in _NOT_PLAYED for name in names for word in words(name))
