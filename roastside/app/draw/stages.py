"""The stages of a roast as a bar in proportion to time, over those of the reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.inks import GROUND_INKS, Ground, Ink
from roastside.app.draw.scale import clock

_LEFT_BLOCKS = " ▏▎▍▌▋▊▉█"
_SHADES = {Ground.DRYING: "░", Ground.BROWNING: "▒", Ground.DEVELOPMENT: "▓"}
_GROW_BY_S = 120.0


@dataclass(frozen=True, slots=True)
class StageSegment:
    """A stage and the seconds it took, or has taken so far."""

    name: str
    seconds: float
    ground: Ground


def drying(seconds: float) -> StageSegment:
    """The drying stage."""
    return StageSegment("drying", seconds, Ground.DRYING)


def browning(seconds: float) -> StageSegment:
    """The browning stage."""
    return StageSegment("browning", seconds, Ground.BROWNING)


def development(seconds: float) -> StageSegment:
    """The development stage."""
    return StageSegment("development", seconds, Ground.DEVELOPMENT)


@dataclass(frozen=True, slots=True)
class StageBarData:
    """The stages so far, in order; those of the reference, if there is one.

    The bar's length is the longer of the two, or `expected_s` if that is longer still.
    """

    stages: Sequence[StageSegment] = ()
    reference: Sequence[StageSegment] = ()
    expected_s: float = 0.0

    def total_s(self) -> float:
        """Seconds from the left end to the right. Without any end in sight, the next two minutes
        begin when the last are full, so that the bar seldom moves."""
        elapsed = sum(stage.seconds for stage in self.stages)
        known = max(sum(stage.seconds for stage in self.reference), self.expected_s)
        if elapsed <= known:
            return known
        return _GROW_BY_S * (1 + elapsed // _GROW_BY_S)


def draw_stage_bar(data: StageBarData, width: int, height: int, shaded: bool = False) -> Cells:
    """Draw it in `width` by `height` cells: the bar on the first row, the reference below.

    `shaded` fills each stage with its own shade, for terminals with few colours.
    """
    cells = Cells(width, height)
    total = data.total_s()
    if total <= 0 or not width or not height:
        return cells
    _draw_live(cells, data.stages, total, shaded)
    if height > 1:
        _draw_reference(cells, data.reference, total)
    return cells


def _draw_live(cells: Cells, stages: Sequence[StageSegment], total_s: float, shaded: bool) -> None:
    elapsed = sum(stage.seconds for stage in stages)
    begin_s = 0.0
    for n, stage in enumerate(stages):
        start = round(cells.width * begin_s / total_s)
        begin_s += stage.seconds
        end, rest = divmod(round(8 * cells.width * begin_s / total_s), 8)
        growing = n == len(stages) - 1
        if not growing:
            end = round(cells.width * begin_s / total_s)
        if shaded:
            cells.write(0, start, _SHADES[stage.ground] * (end - start), GROUND_INKS[stage.ground])
        else:
            cells.ground[0, start:end] = stage.ground
            if growing and rest and end < cells.width:
                cells.write(0, end, _LEFT_BLOCKS[rest], GROUND_INKS[stage.ground])
        if n and start < cells.width:
            cells.write(0, start, "▏", Ink.PAPER)
        share = round(100 * stage.seconds / elapsed) if elapsed else 0
        _label(cells, (start + 1, end), (end + 1, cells.width * growing), stage, share, shaded)


def _label(
    cells: Cells,
    inside: tuple[int, int],
    after: tuple[int, int],
    stage: StageSegment,
    share: int,
    spaced: bool,
) -> None:
    """The best label there is room for: in the segment, or after it while it grows."""
    time = clock(stage.seconds)
    full, short = f"{stage.name} {time} · {share} %", f"{stage.name} {time}"
    nameless = f"{time} · {share} %"
    wishes = [(full, inside), (short, inside), (full, after), (short, after)]
    wishes += [(nameless, inside), (nameless, after), (time, inside), (time, after)]
    for text, (start, end) in wishes:
        shown = f" {text} " if spaced else text
        if text_width(shown) < end - start:
            cells.write(0, start, shown)
            return


def _draw_reference(cells: Cells, stages: Sequence[StageSegment], total_s: float) -> None:
    begin_s = 0.0
    for stage in stages:
        start = round(cells.width * begin_s / total_s)
        begin_s += stage.seconds
        end = round(cells.width * begin_s / total_s)
        cells.write(1, start, "▁" * (end - start), GROUND_INKS[stage.ground])
        label = f" {clock(stage.seconds)} "
        if len(label) + 2 <= end - start:
            cells.write(1, end - len(label), label, Ink.QUIET)
