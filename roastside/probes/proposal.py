"""What is proposed for a port that gave readings, and what a person shall check before trusting it.

Pure: what can not be known from bytes (which probe is which, mostly the unit) is not claimed.
"""

from __future__ import annotations

import shlex
from dataclasses import dataclass

from roastside.probes.judge import Judgement

ROOM_C = (10.0, 40.0)
ROOM_F = (50.0, 104.0)
ICY_C = 5.0


@dataclass(frozen=True, slots=True)
class Proposal:
    """How to listen to a port. baud: None where a line has no speed, as on a network.

    swapped: the wire with bean and air probe exchanged, empty if there is no air.
    """

    port: str
    baud: int | None
    wire: str
    swapped: str = ""

    @property
    def command(self) -> str:
        """The command that listens so, ready to be copied."""
        words = ["roastside", "listen", "--port", self.port]
        words += [] if self.baud is None else ["--baud", str(self.baud)]
        return shlex.join([*words, "--wire", self.wire])


def advice(judgement: Judgement) -> tuple[str, ...]:
    """Sentences: what was taken for what, and how to check it with the hand and the room."""
    return tuple(
        sentence
        for sentence in (*judgement.guess.notes, _which_probe(judgement), _which_unit(judgement))
        if sentence
    )


def _which_probe(judgement: Judgement) -> str:
    if judgement.guess.open:
        return ""
    if judgement.guess.swapped:
        return (
            "Warm the bean probe in your hand: its temperature must rise. If the air rises instead,"
            f" take the wire {judgement.guess.swapped}"
        )
    return "Warm the probe in your hand: its temperature must rise."


def _which_unit(judgement: Judgement) -> str:
    readings = [line.reading for line in judgement.lines if line.reading is not None]
    bean_c = next((r.bean_c for r in reversed(readings) if r.bean_c is not None), None)
    in_fahrenheit = judgement.guess.in_fahrenheit
    if bean_c is None or not in_fahrenheit:
        return ""
    if bean_c < ICY_C:
        return (
            f"{bean_c:g} °C is an icy probe: if yours is not, the numbers may be millivolts; see"
            " Millivolts in docs/probes.md."
        )
    if ROOM_F[0] <= bean_c <= ROOM_F[1]:
        return (
            f"Is it {bean_c:g} °C at the probe? If the probe lies in a room, the numbers are °F:"
            f" take the wire {in_fahrenheit}"
        )
    if ROOM_C[0] <= bean_c <= ROOM_C[1]:
        return f"{bean_c:g} °C is a room's temperature: compare it with a thermometer you trust."
    return (
        f"Is it {bean_c:g} °C at the probe? Compare it with a thermometer you trust; if it is"
        f" {bean_c:g} °F, take the wire {in_fahrenheit}"
    )
