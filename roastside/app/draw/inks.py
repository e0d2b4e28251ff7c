"""The names of the colours we draw with. What colour each one is, the style sheet decides."""

from __future__ import annotations

from enum import IntEnum


class Ink(IntEnum):
    """What a character is drawn in: a meaning, not a colour."""

    PLAIN = 0
    QUIET = 1
    RULE = 2
    BEAN = 3
    REFERENCE = 4
    AIR = 5
    RATE = 6
    MARK = 7
    GOOD = 8
    WARN = 9
    BAD = 10
    DRYING = 11
    BROWNING = 12
    DEVELOPMENT = 13
    CORRIDOR = 14
    SHADE = 15
    PAPER = 16


class Ground(IntEnum):
    """What lies behind a character. Each has an ink of the same name, so that a part of a cell can
    be filled with a block character. SHADE is for the dots that stand for a ground's colour."""

    PAPER = 0
    CORRIDOR = 1
    DRYING = 2
    BROWNING = 3
    DEVELOPMENT = 4


GROUND_INKS = {
    Ground.PAPER: Ink.PAPER,
    Ground.CORRIDOR: Ink.CORRIDOR,
    Ground.DRYING: Ink.DRYING,
    Ground.BROWNING: Ink.BROWNING,
    Ground.DEVELOPMENT: Ink.DEVELOPMENT,
}
