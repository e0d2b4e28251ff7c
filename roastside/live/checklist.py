"""What to look at before the beans go in."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import fmean, pstdev

from roastside.core.text import clean
from roastside.core.units import Degrees
from roastside.live.board import View

CHECKED = "checked"
"""Fact of a roast: what was ticked before it, parted by commas."""

CHECKS: tuple[tuple[str, str], ...] = (
    ("probe", "The probe reads what it should"),
    ("exhaust", "Exhaust on, the smoke goes outside"),
    ("tray", "Cooling tray clear, its fan runs"),
    ("extinguisher", "Extinguisher at hand"),
    ("bag", "Bag for the roasted beans ready and labelled"),
)
"""What can be ticked: its word in the recording, and its words for people."""

_OVER_S = 10.0
_STEADY_C = 1.0


def probe_words(view: View, now_s: float, degrees: Degrees) -> str:
    """What the bean probe does just now, so that a person can say whether that can be."""
    if view.last is None:
        return "nothing read yet"
    if view.standing:
        return clean(view.standing[0].message)
    recent = [
        bean_c
        for at_s, bean_c in zip(view.time_s[-200:], view.bean_c[-200:], strict=True)
        if at_s > now_s - _OVER_S and bean_c == bean_c
    ]
    if not recent:
        return "nothing read just now"
    now = f"{degrees.temperature(fmean(recent[-5:])):.1f} {degrees.unit}"
    if len(recent) < 5:
        return now
    return f"{now}, {'steady' if pstdev(recent) < _STEADY_C else 'moving'}"


def can_be_ticked(word: str, view: View) -> bool:
    """Whether a check can be true: of a probe that was never read nothing can be said."""
    return word != "probe" or view.last is not None


def checked_fact(ticked: Iterable[str]) -> str:
    """The ticked checks as the note of a comment, in the order of the list."""
    chosen = set(ticked)
    return f"{CHECKED}={', '.join(word for word, _ in CHECKS if word in chosen)}"
