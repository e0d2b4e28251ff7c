"""The picture of a roast in a report: an SVG that reads in black and white too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from itertools import takewhile
from math import ceil, floor

import numpy as np

from roastside.core.findings import clock
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName, Stage
from roastside.core.smooth import Curve
from roastside.core.stages import stage_spans
from roastside.core.units import Degrees
from roastside.desk.lane_picture import LANE_HEIGHT, lane_picture
from roastside.desk.roast_story import RoastStory

WIDTH = 760
_LEFT, _RIGHT, _TOP, _BOTTOM = 46, 714, 58, 352
_LANE_TOP, _BAR_TOP = 378, 378
_BAR_HEIGHT = 24
_BELOW_BAR = 22
_MOST_POINTS = 360
_LABEL_WIDTH = 84.0
"""Labels of marks nearer than this to each other stand on different lines."""

_MARKS = (
    (MarkName.TURNING_POINT, "turning point"),
    (MarkName.YELLOWING, "yellowing"),
    (MarkName.FIRST_CRACK, "first crack"),
    (MarkName.SECOND_CRACK, "second crack"),
    (MarkName.DROP, "drop"),
)
_LEGEND = (
    ("bean", "bean temperature"),
    ("rate", "rate of rise"),
    ("reference", "reference"),
    ("reference-rate", "its rate"),
)
_STAGES = (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT)
_BEGINS = {
    Stage.DRYING: MarkName.CHARGE,
    Stage.BROWNING: MarkName.YELLOWING,
    Stage.DEVELOPMENT: MarkName.FIRST_CRACK,
}

STYLE = """
svg text { font: 11px system-ui, sans-serif; fill: #222; }
svg .grid { stroke: #ddd; stroke-width: 1; }
svg .axis { stroke: #444; stroke-width: 1; fill: none; }
svg .bean { stroke: #0072B2; stroke-width: 2.4; fill: none; }
svg .rate { stroke: #009E73; stroke-width: 1.8; stroke-dasharray: 2 2.5; fill: none; }
svg .reference { stroke: #D55E00; stroke-width: 1.6; stroke-dasharray: 9 4; fill: none; }
svg .reference-rate { stroke: #D55E00; stroke-width: 1; stroke-dasharray: 1 3; fill: none; }
svg .corridor { fill: #E69F00; fill-opacity: .22; stroke: none; }
svg .edge { stroke: #A66F00; stroke-width: .8; stroke-dasharray: 1 2; fill: none; }
svg .mark { stroke: #555; stroke-width: 1; }
svg .dot { fill: #fff; stroke: #0072B2; stroke-width: 2; }
svg .stage { stroke: #444; stroke-width: 1; }
svg .unparted { fill: #FFFFFF; }
svg .drying { fill: #F6ECC8; } svg .browning { fill: #E7C48F; } svg .development { fill: #CC9966; }
svg .middle { text-anchor: middle; } svg .end { text-anchor: end; }
"""
"""Colours after Okabe and Ito, "Color Universal Design" (2008); each line has its own pattern."""


def curve_picture(story: RoastStory, degrees: Degrees) -> str:
    """An SVG element: bean curve, rate, reference with its corridor, marks, and the stages."""
    return _Picture(story, degrees).draw()


class _Picture:
    def __init__(self, story: RoastStory, degrees: Degrees) -> None:
        self._story = story
        self._degrees = degrees
        curve = story.roast.curve
        self._end_s = float(curve.time_s[-1])
        shown = [self._shown(curve.bean_c)]
        if story.target is not None:
            self._end_s = max(self._end_s, float(story.target.elapsed_s[-1]))
            shown.append(self._shown(story.target.bean_c))
        step = 50.0 if degrees.fahrenheit else 25.0
        self._low = step * floor(min(float(each.min()) for each in shown) / step)
        self._high = step * ceil(max(float(each.max()) for each in shown) / step)
        self._step = step
        rate = self._rate(curve.time_s, curve.slope_c_per_s * SECONDS_PER_MINUTE)[1]
        self._rate_step = 10.0 if degrees.fahrenheit else 5.0
        highest = float(rate.max()) if len(rate) else 0.0
        self._highest_rate = self._rate_step * max(1, ceil(highest / self._rate_step))

    def draw(self) -> str:
        lane = list(lane_picture(self._story, self._degrees, _LANE_TOP, self._x))
        bar_top = _BAR_TOP + (LANE_HEIGHT + 12 if lane else 0)
        parts = [*self._frame(), *self._reference(), *self._roast(), *self._marks(), *lane]
        parts += self._bar(bar_top)
        height = bar_top + _BAR_HEIGHT + _BELOW_BAR
        label = escape(f"Curve of {self._story.title}", quote=True)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
            f'aria-label="{label}">\n' + "\n".join(parts) + "\n</svg>"
        )

    def _frame(self) -> Iterable[str]:
        at_c = self._low
        while at_c <= self._high:
            y = self._y(at_c)
            yield f'<line class="grid" x1="{_LEFT}" x2="{_RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>'
            yield _text(_LEFT - 6, y + 4, f"{at_c:.0f}", "end")
            at_c += self._step
        rate = 0.0
        while rate <= self._highest_rate:
            yield _text(_RIGHT + 6, self._rate_y(rate) + 4, f"{rate:.0f}")
            rate += self._rate_step
        every = 1 if self._end_s <= 20 * 60 else 5
        for minute in range(0, int(self._end_s // 60) + 1, every):
            x = self._x(60.0 * minute)
            yield f'<line class="grid" x1="{x:.1f}" x2="{x:.1f}" y1="{_TOP}" y2="{_BOTTOM}"/>'
            yield _text(x, _BOTTOM + 15, f"{minute}:00", "middle")
        yield f'<path class="axis" d="M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}V{_TOP}"/>'
        unit = self._degrees.unit
        yield _text(4, 14, unit)
        yield _text(WIDTH - 4, 14, f"{unit}/min", "end")
        x = 70.0
        for name, words in _LEGEND:
            if name.startswith("reference") and self._story.reference is None:
                continue
            yield f'<line class="{name}" x1="{x:.0f}" x2="{x + 28:.0f}" y1="10" y2="10"/>'
            yield _text(x + 34, 14, words)
            x += 60 + 6.2 * len(words)
        if self._story.target is not None:
            yield f'<rect class="corridor" x="{x:.0f}" y="4" width="28" height="12"/>'
            yield _text(x + 34, 14, "corridor")

    def _reference(self) -> Iterable[str]:
        target, reference = self._story.target, self._story.reference
        if target is None or reference is None:
            return
        keep = _thinned(target.elapsed_s)
        at_s, bean_c, half = target.elapsed_s[keep], target.bean_c[keep], target.corridor_c[keep]
        risen = at_s >= target.turning_point_s
        upper = self._points(at_s[risen], self._shown((bean_c + half)[risen]))
        lower = self._points(at_s[risen], self._shown((bean_c - half)[risen]))
        yield f'<polygon class="corridor" points="{" ".join([*upper, *reversed(lower)])}"/>'
        yield self._line("reference", at_s, self._shown(bean_c))
        elapsed_s, _, rate = reference.arrays
        yield self._rate_line("reference-rate", elapsed_s, rate)

    def _roast(self) -> Iterable[str]:
        curve = self._story.roast.curve
        yield self._rate_line("rate", curve.time_s, curve.slope_c_per_s * SECONDS_PER_MINUTE)
        keep = _thinned(curve.time_s)
        yield self._line("bean", curve.time_s[keep], self._shown(curve.bean_c[keep]))

    def _marks(self) -> Iterable[str]:
        taken = [-1e9, -1e9]
        moments = self._story.figures.moments
        placed = sorted(
            (moments[name].at_s, moments[name].bean_c, words)
            for name, words in _MARKS
            if name in moments
        )
        for at_s, bean_c, words in placed:
            x, y = self._x(at_s), self._y(float(self._shown(np.array([bean_c]))[0]))
            row = 0 if x - taken[0] >= _LABEL_WIDTH or taken[1] > taken[0] else 1
            taken[row] = x
            top = _TOP - 6 - 14 * row
            yield f'<line class="mark" x1="{x:.1f}" x2="{x:.1f}" y1="{top + 3}" y2="{_BOTTOM}"/>'
            yield f'<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>'
            near_end = x > _RIGHT - _LABEL_WIDTH / 2.0
            kind = "end" if near_end else "middle"
            yield _text(_RIGHT + 30 if near_end else x, top, f"{words} {clock(at_s)}", kind)

    def _bar(self, top: int) -> Iterable[str]:
        marks = self._story.roast.marks
        end_s = marks.get(MarkName.DROP)
        if end_s is None:
            return
        from_s = 0.0
        spans = stage_spans(marks, end_s)
        for stage in _STAGES:
            span = spans.get(stage)
            if span is None:
                continue
            x, wide = self._x(from_s), self._x(from_s + span.seconds) - self._x(from_s)
            unknown = [_words(_BEGINS[after]) for after in _unparted(stage, marks)]
            kind = "unparted" if unknown else str(stage)
            yield (
                f'<rect class="stage {kind}" x="{x:.1f}" y="{top}" width="{wide:.1f}" '
                f'height="{_BAR_HEIGHT}"/>'
            )
            words = f"{stage} {clock(span.seconds)}, {100.0 * span.share:.0f} %"
            if unknown:
                after = _STAGES.index(stage) + len(unknown) + 1
                until = _BEGINS[_STAGES[after]] if after < len(_STAGES) else MarkName.DROP
                words = (
                    f"{clock(span.seconds)} from {_words(_BEGINS[stage])} to {_words(until)}, "
                    f"{' and '.join(unknown)} not marked"
                )
            inside = wide >= 6.0 * len(words)
            yield _text(x + wide / 2.0, top + (16 if inside else 38), words, "middle")
            from_s += span.seconds

    def _line(self, kind: str, at_s: Curve, shown: Curve) -> str:
        return f'<polyline class="{kind}" points="{" ".join(self._points(at_s, shown))}"/>'

    def _points(self, at_s: Curve, shown: Curve) -> list[str]:
        pairs = zip(at_s.tolist(), shown.tolist(), strict=True)
        return [f"{self._x(s):.1f},{self._y(value):.1f}" for s, value in pairs]

    def _rate(self, at_s: Curve, rate_c_per_min: Curve) -> tuple[Curve, Curve]:
        """The rate in shown degrees where it is above nought."""
        rate = rate_c_per_min * self._degrees.per_c
        rises = rate >= 0.0
        return at_s[rises], rate[rises]

    def _rate_line(self, kind: str, at_s: Curve, rate_c_per_min: Curve) -> str:
        at_s, rate = self._rate(at_s, rate_c_per_min)
        keep = _thinned(at_s)
        points = [
            f"{self._x(s):.1f},{self._rate_y(min(value, self._highest_rate)):.1f}"
            for s, value in zip(at_s[keep].tolist(), rate[keep].tolist(), strict=True)
        ]
        return f'<polyline class="{kind}" points="{" ".join(points)}"/>'

    def _shown(self, bean_c: Curve) -> Curve:
        return bean_c * self._degrees.per_c + self._degrees.zero

    def _x(self, elapsed_s: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * elapsed_s / self._end_s

    def _y(self, shown: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * (shown - self._low) / (self._high - self._low)

    def _rate_y(self, rate: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * rate / self._highest_rate


def _unparted(stage: Stage, marks: Mapping[str, float]) -> list[Stage]:
    """The stages right after this one that no mark parts from it."""
    after = _STAGES[_STAGES.index(stage) + 1 :]
    return list(takewhile(lambda each: _BEGINS[each] not in marks, after))


def _words(mark: MarkName) -> str:
    return mark.replace("_", " ")


def _thinned(at_s: Curve) -> Sequence[int]:
    """Indices of as many points as a picture can show."""
    count = len(at_s)
    return sorted({round(k) for k in np.linspace(0, count - 1, min(count, _MOST_POINTS))})


def _text(x: float, y: float, words: str, kind: str = "") -> str:
    named = f' class="{kind}"' if kind else ""
    return f'<text{named} x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>'
