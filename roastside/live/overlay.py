"""Roasts laid over each other: their curves, what they are lined up by, how two of them differ."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import RecordError
from roastside.core.readings import MarkName, Stage
from roastside.core.side_by_side import Moment, RoastFigures
from roastside.live.past_curve import PastCurve, read_curve


class Alignment(StrEnum):
    """What curves are lined up by."""

    CHARGE = MarkName.CHARGE
    TURNING_POINT = MarkName.TURNING_POINT
    FIRST_CRACK = MarkName.FIRST_CRACK

    @property
    def next(self) -> Alignment:
        """The one after it, round and round."""
        every = list(Alignment)
        return every[(every.index(self) + 1) % len(every)]


_AT_ONCE_S = 0.15
"""The screen waits no longer than this: most often all is read by then, and drawn but once."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A roast and its curve."""

    roast: Roast
    curve: PastCurve

    def at_s(self, alignment: Alignment) -> float | None:
        """Elapsed seconds of what is lined up by; None if it is not marked."""
        return self.curve.marks.get(alignment)


@dataclass(frozen=True, slots=True)
class StageLine:
    """A stage, or the whole, in seconds: of the first roast, of the other, and the difference."""

    name: str
    first_s: float | None
    second_s: float | None

    @property
    def longer_s(self) -> float | None:
        """By how many whole seconds the other is longer, as both are told in whole seconds."""
        if self.first_s is None or self.second_s is None:
            return None
        return float(round(self.second_s) - round(self.first_s))


def lay_over(book: Book, roasts: Sequence[Roast]) -> tuple[list[Laid], list[str]]:
    """The roasts with their curves, and a sentence for each that has none to draw."""
    laid: list[Laid] = []
    left_out: list[str] = []
    for roast in roasts:
        _lay(book, roast, laid, left_out)
    return laid, left_out


async def lay_over_by_and_by(book: Book, roasts: Sequence[Roast]) -> tuple[list[Laid], list[str]]:
    """The same, letting the screen go on after every few.

    A thread of its own would be slower: it and the screen would wait for each other all the time,
    as Python runs but one of them.
    """
    laid: list[Laid] = []
    left_out: list[str] = []
    begun_s = time.monotonic()
    for roast in roasts:
        _lay(book, roast, laid, left_out)
        if time.monotonic() - begun_s > _AT_ONCE_S:
            await asyncio.sleep(0)
            begun_s = time.monotonic()
    return laid, left_out


def _lay(book: Book, roast: Roast, laid: list[Laid], left_out: list[str]) -> None:
    try:
        laid.append(Laid(roast, read_curve(book.located(roast.file))))
    except RecordError as error:
        left_out.append(str(error))


def figures_of(laid: Laid) -> RoastFigures:
    """The figures of a roast: as the book has them, or from the curve if it has none."""
    roast, curve = laid.roast, laid.curve
    if roast.total_s is None:
        return RoastFigures.from_curve(roast.title, curve.elapsed_s, curve.bean_c, curve.marks)
    return booked_figures(roast)


def booked_figures(roast: Roast) -> RoastFigures:
    """The figures of a roast as the book has them."""
    known = (
        (MarkName.TURNING_POINT, roast.turning_point_s, roast.turning_point_c),
        (MarkName.YELLOWING, roast.yellowing_s, roast.yellowing_c),
        (MarkName.FIRST_CRACK, roast.first_crack_s, roast.first_crack_c),
        (MarkName.DROP, roast.total_s, roast.drop_c),
    )
    moments = {
        str(mark): Moment(at_s, bean_c)
        for mark, at_s, bean_c in known
        if at_s is not None and bean_c is not None
    }
    return RoastFigures.from_moments(roast.title, moments, roast.charge_c)


def stage_lines(first: RoastFigures, second: RoastFigures) -> list[StageLine]:
    """The stages side by side, then the whole."""
    lines = [
        StageLine(str(stage), _lasted_s(first, stage), _lasted_s(second, stage))
        for stage in (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT)
    ]
    return [*lines, StageLine("total", _total_s(first), _total_s(second))]


def _lasted_s(figures: RoastFigures, stage: Stage) -> float | None:
    found = figures.stages.get(stage)
    return None if found is None else found.lasted_s


def _total_s(figures: RoastFigures) -> float | None:
    drop = figures.moments.get(MarkName.DROP)
    return None if drop is None else drop.at_s
