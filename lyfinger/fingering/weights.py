"""The weight of every rule, in thousandths for each unit that the rule counts: the only table of weights."""

from __future__ import annotations

WEIGHTS: dict[str, int] = {
    "trained-pair": 4,
    "three-finger-shape": 10,
    "stretch": 20,
    "gap-between-fingers": 20,
    "cramp": 18,
    "thumb-on-top": 400,
    "short-placing": 10,
    "turn": 50,
    "chord-inside-placing": 4,
    "weak-finger": 60,
    "slur-group": 350,
    "rolled-chord": 1200,
    "trill": 800,
    "glissando": 2500,
    "kept-digit": 1000,
    "thumb-at-leisure": 12,
    "chord-after-chord": 2000,
    "struck-again": 26,
    "beat-group": 90,
    "placing": 6,
    "cross-under": 10,
    "cross-over": 10,
    "hop": 20,
    "slide": 10,
    "lift": 5,
    "grace-group": 900,
    "shape-change": 500,
    "lone-note": 4,
}
