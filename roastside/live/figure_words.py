"""The figures of one roast or reference as a sentence."""

from __future__ import annotations

from roastside.core.findings import clock
from roastside.core.readings import MarkName, Stage
from roastside.core.side_by_side import RoastFigures
from roastside.core.units import CELSIUS, Degrees


def figures_in_words(figures: RoastFigures, degrees: Degrees = CELSIUS) -> str:
    """Its stages, ratio and drop, `Drying 4:30, browning 4:52`; what is not known is left out."""
    parts = [
        f"{stage} {clock(found.lasted_s)}"
        for stage in (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT)
        if (found := figures.stages.get(stage))
    ]
    if parts and figures.development_ratio is not None:
        parts[-1] += f" ({100.0 * figures.development_ratio:.1f} %)"
    drop = figures.moments.get(MarkName.DROP)
    if drop is not None:
        hot = f"{degrees.temperature(drop.bean_c):.1f} {degrees.unit}"
        parts.append(f"drop at {clock(drop.at_s)}, {hot}")
    told = ", ".join(parts)
    return f"{told[:1].upper()}{told[1:]}." if told else ""
