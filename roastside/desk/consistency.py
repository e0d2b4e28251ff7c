"""How alike the repeats of a reference are: the spread of each figure, and its drift."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from roastside.book.filters import Condition
from roastside.book.store import Book
from roastside.book.versions import version_of
from roastside.core.units import CELSIUS, Degrees
from roastside.desk.figures import figures_frame
from roastside.desk.quantities import QUANTITIES, Quantity
from roastside.desk.trend import holm, mann_kendall, theil_sen

if TYPE_CHECKING:
    from pandas import DataFrame, Series

LEAST_REPEATS = 5
"""Fewer tell nothing of how wide the next ones will spread."""

_MOST_REPEATS = 500
"""Drift is looked for among the newest; beyond, pairs of roasts are too many to compare."""

_WEEK_S = 7.0 * 86400.0
_LEAST_WEEKS = 1.0


@dataclass(frozen=True, slots=True)
class Drift:
    """How a figure moves: `per_week` in its own unit, Kendall's tau, and the probability of as much
    by chance (two-sided). `sure`: so little probable that it holds among all figures tested."""

    per_week: float
    tau: float
    by_chance: float
    sure: bool


@dataclass(frozen=True, slots=True)
class Spread:
    """One figure over the repeats. `sd` is the sample's standard deviation; drift None if the
    repeats lie too close in time, or are too few."""

    quantity: Quantity
    count: int
    mean: float
    sd: float
    low: float
    high: float
    drift: Drift | None


@dataclass(frozen=True, slots=True)
class Consistency:
    """The repeats of a reference version.

    `within_share` is the mean share of a roast inside the corridor, None if not known. With fewer
    than LEAST_REPEATS there are no `spreads`.
    """

    title: str
    repeats: int
    within_share: float | None
    weeks: float
    spreads: tuple[Spread, ...]

    def words(self, degrees: Degrees = CELSIUS) -> list[str]:
        """What there is to say, a sentence each."""
        if self.repeats < LEAST_REPEATS:
            return [
                f"{self.title} has {_counted(self.repeats)}; from {LEAST_REPEATS} on their spread "
                "and drift are told."
            ]
        told = []
        if self.within_share is not None:
            told.append(
                f"{self.title}: {_counted(self.repeats)}, inside the corridor for "
                f"{100.0 * self.within_share:.0f} % of the time."
            )
        else:
            told.append(f"{self.title}: {_counted(self.repeats)}.")
        if all(spread.drift is None for spread in self.spreads):
            return [*told, "They lie too close in time to tell whether anything drifts."]
        drifts = [
            spread.quantity.drift_words(spread.drift.per_week, spread.drift.by_chance, degrees)
            for spread in self.spreads
            if spread.drift is not None and spread.drift.sure
        ]
        none = "Nothing drifts by more than chance would do."
        return told + (drifts or [none])


def consistency(book: Book, version_id: int) -> Consistency:
    """The spread and drift of all figures over the repeats of a reference version.

    Raises BookError if there is no such version.
    """
    version = version_of(book, version_id)
    frame = figures_frame(book, Condition("roast.version_id = ?", (version_id,)))
    frame = frame[frame["total_s"].notna()].tail(_MOST_REPEATS)
    weeks = _weeks(frame)
    within = frame["within_corridor_share"].mean()
    return Consistency(
        version.title,
        len(frame),
        None if within != within else float(within),
        float(weeks.max() - weeks.min()) if weeks.notna().any() else 0.0,
        tuple(_spreads(frame, weeks)) if len(frame) >= LEAST_REPEATS else (),
    )


def _weeks(frame: DataFrame) -> Series:
    """Weeks since the first repeat."""
    started = frame["started_utc"]
    return (started - started.min()).dt.total_seconds() / _WEEK_S


def _spreads(frame: DataFrame, weeks: Series) -> list[Spread]:
    spreads = []
    for quantity in QUANTITIES:
        values = frame[quantity.column].dropna()
        if len(values) < LEAST_REPEATS:
            continue
        spreads.append(
            Spread(
                quantity,
                len(values),
                float(values.mean()),
                float(values.std()),
                float(values.min()),
                float(values.max()),
                _drift(values, weeks),
            )
        )
    return _with_sureness(spreads)


def _drift(values: Series, weeks: Series) -> Drift | None:
    known = weeks[values.index].dropna()
    if len(known) < LEAST_REPEATS or known.max() - known.min() < _LEAST_WEEKS:
        return None
    kept = values[known.index].to_numpy()
    tau, by_chance = mann_kendall(kept.tolist())
    return Drift(theil_sen(known.to_numpy(), kept), tau, by_chance, sure=False)


def _with_sureness(spreads: list[Spread]) -> list[Spread]:
    """The same, with those drifts marked that hold although so many figures were tested."""
    tested = [at for at, spread in enumerate(spreads) if spread.drift is not None]
    chances = [drift.by_chance for at in tested if (drift := spreads[at].drift)]
    for at, sure in zip(tested, holm(chances), strict=True):
        drift = spreads[at].drift
        if drift is not None:
            spreads[at] = replace(spreads[at], drift=replace(drift, sure=sure))
    return spreads


def _counted(count: int) -> str:
    return "1 repeat" if count == 1 else f"{count or 'no'} repeats"
