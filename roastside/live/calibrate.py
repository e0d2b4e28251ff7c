"""A probe check without a screen: what to do in sentences, the result on stdout."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

from roastside.core.boiling import boiling_from_words
from roastside.core.errors import ProbeError, RoastsideError, UsageError
from roastside.core.readings import Item, Outage
from roastside.live.calibrating import (
    CAUTION,
    BathStep,
    Calibrating,
    point_words,
    usual_person,
)
from roastside.live.check import Wish, prepare
from roastside.live.watch import unread_hint
from roastside.probes.bath import BathState, far_off
from roastside.probes.calibrated import calibration_facts
from roastside.probes.source import Source

_WHERE = "How high above the sea is this place, or its air pressure (520 m, 953 hPa)"
_TELL_EVERY_S = 10.0
_WAIT_S = 0.2


def say(sentence: str) -> None:
    """A sentence to the person, on stderr."""
    with suppress(OSError):  # whoever read these words has gone
        print(f"roastside: {sentence}", file=sys.stderr, flush=True)


def ask(question: str, usual: str) -> str:
    """Ask on the terminal; `usual` for an empty answer, and if nobody can be asked."""
    if sys.stdin is None or not sys.stdin.isatty():
        return usual
    print(f"{question} [{usual}]: " if usual else f"{question}: ", end="", file=sys.stderr)
    sys.stderr.flush()
    return sys.stdin.readline().strip() or usual


def calibrate(wish: Wish, patience_s: float, keep: bool) -> int:
    """Take a probe through its baths; the exit code.

    What the wish leaves open is asked for at a terminal. Each bath is waited for `patience_s`.
    Nothing is kept unless all were measured. Raises ProbeError, UsageError or StoreError.
    """
    check = prepare(_completed(wish))
    _take_through(check.source, check.calibrating, patience_s)
    for words in check.outcome():
        say(words)
    calibration = check.calibration()
    assert calibration is not None, "every bath was measured"
    channel = check.calibrating.channel
    if keep:
        before = check.keep(calibration)
        instead = f", instead of that of {before.date} by {before.person}" if before else ""
        say(f"kept for {channel}{instead}; from now on its readings are corrected")
    else:
        say("not kept")
    for key, value in calibration_facts({channel: calibration}).items():
        print(f"{key}: {value}", flush=True)
    return 0


def _completed(wish: Wish) -> Wish:
    if wish.needs_place and (answer := ask(_WHERE, "")):
        wish = replace(wish, place=boiling_from_words(answer))
    return wish if wish.person else replace(wish, person=ask("Your name", usual_person()))


def _take_through(source: Source, calibrating: Calibrating, patience_s: float) -> None:
    source.open()
    try:
        say(CAUTION)
        while (step := calibrating.step) is not None:
            say(f"{step.name.capitalize()}. {step.how}")
            _measure(source, calibrating, patience_s)
    except KeyboardInterrupt:
        say("left; nothing was kept")
        raise
    finally:
        source.close()


def _measure(source: Source, calibrating: Calibrating, patience_s: float) -> None:
    """Wait until the bath is measured. Raises ProbeError or UsageError if it takes too long."""
    step = calibrating.step
    assert step is not None
    ends_s = source.now_s() + patience_s
    teller = _Teller(source, calibrating, step)
    while source.now_s() < ends_s and not source.ended:
        items = source.read(_WAIT_S)
        for item in items:
            point = calibrating.feed(item)
            if point is not None:
                say(point_words(step, point))
                return
        teller.tell(items)
    raise teller.given_up(f"within {patience_s:g} s")


class _Teller:
    """Says how it goes in a bath now and then, and a mistake once."""

    def __init__(self, source: Source, calibrating: Calibrating, step: BathStep) -> None:
        self._source = source
        self._calibrating = calibrating
        self._step = step
        self._next_s = source.now_s() + _TELL_EVERY_S
        self._told_far = False

    def tell(self, items: Sequence[Item]) -> None:
        """Look at what came last."""
        for item in items:
            if isinstance(item, Outage):
                say(f"{item.reason}; waiting for it to come back")
        far = self._far()
        if far and not self._told_far:
            self._told_far = True
            say(f"if the probe is in that bath already: {far}")
        now_s = self._source.now_s()
        if now_s < self._next_s:
            return
        self._next_s = now_s + _TELL_EVERY_S
        latest_c = self._calibrating.settling.latest_c
        if self._calibrating.silent(now_s):
            say(f"nothing comes from the probe{self._hint()}")
        elif latest_c is not None:
            say(f"the probe reads {latest_c:.1f} °C; waiting until it is steady in this bath")

    def given_up(self, waited: str) -> RoastsideError:
        """Why the bath was not measured."""
        if self._calibrating.silent(self._source.now_s()):
            return ProbeError(
                f"{self._source.name}: no temperature of {self._calibrating.channel} came"
                f"{self._hint()}; check the cable, the adapter and --wire."
            )
        wrong = self._far() or (
            f"the probe was not steady {waited}; stir, keep its tip still in the middle, and try "
            "again."
        )
        return UsageError(f"{self._step.name}: {wrong}")

    def _far(self) -> str:
        settling = self._calibrating.settling
        if settling.state is not BathState.FAR or settling.mean_c is None:
            return ""
        return far_off(settling.mean_c, self._step.truth_c)

    def _hint(self) -> str:
        hint = unread_hint(self._source)
        return f" ({hint})" if hint else ""
