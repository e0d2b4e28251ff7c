"""Planned changes of the controls, kept with a reference and said ahead of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from roastside.core.readings import Mark

_TOGETHER_S = 5.0
_NOT_BEFORE_S = 20.0
"""What is set at charge, or while the probe still plunges, is no cue: nobody waits for it."""


@dataclass(frozen=True, slots=True)
class Cue:
    """What to set, and where in the reference: elapsed seconds and bean temperature, °C."""

    elapsed_s: float
    bean_c: float
    words: str


def control_words(mark: Mark) -> str:
    """A change of a control as one says it: value 70 and note `heat %` are `heat to 70 %`."""
    name, value = mark.note.strip(), mark.value.strip()
    if name.endswith("%"):
        name, value = name.removesuffix("%").strip(), f"{value} %"
    if not value:
        return name
    return f"{name} to {value}" if name else value


def cues_from(
    controls: Iterable[Mark], charge_s: float, at: Sequence[tuple[float, float]]
) -> tuple[Cue, ...]:
    """The cues of a finished roast, in order; those close together are said as one.

    `controls` are its control marks, stream seconds; `at` its curve: elapsed s and °C, rising time.
    """
    cues: list[Cue] = []
    for mark in sorted(controls, key=lambda mark: mark.time_s):
        elapsed_s, words = mark.time_s - charge_s, control_words(mark)
        if elapsed_s < _NOT_BEFORE_S or elapsed_s > at[-1][0] or not words:
            continue
        if cues and elapsed_s - cues[-1].elapsed_s <= _TOGETHER_S:
            last = cues.pop()
            cues.append(Cue(last.elapsed_s, last.bean_c, f"{last.words}, {words}"))
            continue
        bean_c = next(bean_c for at_s, bean_c in at if at_s >= elapsed_s)
        cues.append(Cue(elapsed_s, bean_c, words))
    return tuple(cues)
