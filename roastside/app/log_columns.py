"""The columns of the list of roasts: what each shows, and which of them fit a width."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePosixPath

from roastside.app.words import clock, plain, signed
from roastside.book.rows import Roast
from roastside.core.units import Degrees

MARGIN = 2
"""Cells before the first column: whether a roast is picked, and where the cursor is."""

_WIDEST_NAME = 48


@dataclass(frozen=True, slots=True)
class Column:
    """`width` in cells, the least one for a column that `grows`. Of a low `rank` go first.

    `sort`: the book's column to sort by, empty if it cannot be.
    """

    head: str
    width: int
    rank: int
    sort: str
    text: Callable[[Roast], str]
    right: bool = True
    grows: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """A column where it stands: from cell `begin`, `width` cells wide."""

    column: Column
    begin: int
    width: int

    @property
    def end(self) -> int:
        """The cell after it."""
        return self.begin + self.width


def columns(degrees: Degrees) -> tuple[Column, ...]:
    """All columns from left to right, temperatures in these degrees."""
    unit = degrees.unit
    return (
        Column("date", 10, 0, "started_utc", _date, right=False),
        Column("roast", 16, 0, "title", name_of, right=False, grows=True),
        Column("coffee", 12, 9, "coffee", lambda r: r.coffee, right=False, grows=True),
        Column(
            "reference",
            12,
            8,
            "reference_title",
            lambda r: r.reference_title,
            right=False,
            grows=True,
        ),
        Column("total", 6, 1, "total_s", lambda r: clock(r.total_s) if r.total_s else ""),
        Column("drying %", 8, 10, "drying_share", lambda r: _percent(r.drying_share)),
        Column("browning %", 10, 10, "browning_share", lambda r: _percent(r.browning_share)),
        Column("ratio %", 7, 3, "development_ratio", lambda r: _percent(r.development_ratio)),
        Column(f"drop {unit}", 7, 3, "drop_c", lambda r: _number(degrees.temperature(r.drop_c))),
        Column("loss %", 6, 4, "loss", lambda r: _percent(r.loss)),
        Column(
            f"worst {unit}",
            8,
            7,
            "worst_departure_c",
            lambda r: _signed(degrees.difference(r.worst_departure_c)),
        ),
        Column("score", 6, 6, "cup_score", lambda r: _number(r.cup_score)),
        Column("verdict", 8, 5, "verdict", lambda r: r.verdict, right=False),
        Column("missing", 8, 2, "", to_fill_in, right=False),
    )


def placed(every: tuple[Column, ...], width: int) -> tuple[Placed, ...]:
    """The columns that fit in `width` cells, the important ones first; names get what is left."""
    kept: list[Column] = []
    for column in sorted(every, key=lambda column: column.rank):
        if MARGIN + sum(c.width + 1 for c in [*kept, column]) - 1 > width:
            break
        kept.append(column)
    kept.sort(key=every.index)
    spare = width - MARGIN - sum(column.width + 1 for column in kept) + 1
    names = [column for column in kept if column.grows]
    found: list[Placed] = []
    begin = MARGIN
    for column in kept:
        wide = column.width
        if column.grows:
            more = min(spare // len(names), _WIDEST_NAME - wide)
            names.pop()
            spare -= more
            wide += more
        found.append(Placed(column, begin, wide))
        begin += wide + 1
    return tuple(found)


def name_of(roast: Roast) -> str:
    """What a roast is called: its coffee, where its title is no more than its file's name.

    The day is not said again in a title that was made of coffee, day and time.
    """
    if roast.title == PurePosixPath(roast.file).stem and roast.coffee:
        return roast.coffee
    day = _date(roast)
    return roast.title.replace(f", {day} ", ", ") if day else roast.title


def to_fill_in(roast: Roast) -> str:
    """What is still to be filled in, in few words."""
    if nothing_read(roast):
        return "readings"
    wanted = roast.unfinished
    if len(wanted) > 1:
        return f"{len(wanted)} things"
    return wanted[0].removeprefix("charge ").removeprefix("roasted ") if wanted else ""


def nothing_read(roast: Roast) -> bool:
    """Whether a recording was looked through and holds not a single reading."""
    return roast.readings == 0


def _date(roast: Roast) -> str:
    return (roast.started_at or "")[:10]


def _percent(share: float | None) -> str:
    return "" if share is None else plain(100.0 * share, 1)


def _number(value: float | None) -> str:
    return "" if value is None else plain(value, 1)


def _signed(value: float | None) -> str:
    return "" if value is None else signed(value, 1)
