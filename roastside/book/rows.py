"""What the book holds, as typed rows."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, fields
from typing import Any, TypeVar


@dataclass(frozen=True, slots=True)
class Coffee:
    """A coffee as it is roasted and sold. `current_version_id`: the reference it is roasted to."""

    id: int
    name: str
    decaf: bool = False
    remarks: str = ""
    current_version_id: int | None = None


@dataclass(frozen=True, slots=True)
class Lot:
    """A delivery of green coffee."""

    id: int
    coffee_id: int
    name: str
    supplier: str = ""
    received_on: str | None = None
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Version:
    """A version of a reference, as listed. `title` is what a roast file calls it.

    `name` is that of its reference, `coffee` that of the coffee (empty without one). `origin`:
    `roast`, `repeats`, `edit` or `file`. `change` says what was edited, in the roaster's words.
    """

    id: int
    reference_id: int
    version: int
    title: str
    name: str
    coffee: str
    coffee_id: int | None
    file: str
    origin: str
    parent_id: int | None
    made_at: str | None
    author: str
    change: str
    reason: str
    is_current: bool


@dataclass(frozen=True, slots=True)
class Note:
    """What a person wrote about a coffee or else a version, which may be away. `written_at`: ISO
    8601."""

    id: int
    written_at: str
    author: str
    text: str
    coffee_id: int | None
    version_title: str | None


@dataclass(frozen=True, slots=True)
class Roast:
    """A roast as the book lists it. °C, seconds, grams, shares 0 to 1; None is not known."""

    id: int
    file: str
    started_at: str | None
    started_utc: str | None
    title: str
    coffee: str
    coffee_id: int | None
    lot: str
    lot_id: int | None
    reference_title: str
    version_id: int | None
    roasted_by: str
    charge_weight_g: float | None
    roasted_weight_g: float | None
    loss: float | None
    colour: float | None
    verdict: str
    cup_score: float | None
    remarks: str
    settled: bool
    total_s: float | None
    drying_share: float | None
    browning_share: float | None
    development_s: float | None
    development_ratio: float | None
    charge_c: float | None
    turning_point_s: float | None
    turning_point_c: float | None
    yellowing_s: float | None
    yellowing_c: float | None
    first_crack_s: float | None
    first_crack_c: float | None
    drop_c: float | None
    worst_departure_c: float | None
    within_share: float | None
    readings: int

    @property
    def unfinished(self) -> tuple[str, ...]:
        """What is still to be filled in, in words; nothing once the roast is settled.

        Nor of a recording in which nothing was ever charged.
        """
        charged = (self.charge_c, self.turning_point_c, self.total_s) != (None, None, None)
        if self.settled or not charged:
            return ()
        wanted = (
            ("coffee", self.coffee),
            ("charge weight", self.charge_weight_g),
            ("roasted weight", self.roasted_weight_g),
            ("verdict", self.verdict),
        )
        return tuple(words for words, value in wanted if not value)


_Kind = TypeVar("_Kind")
_FLAGS = frozenset({"decaf", "settled", "is_current"})


def typed(kind: type[_Kind], row: sqlite3.Row) -> _Kind:
    """A row as `kind`, a dataclass whose fields are columns of it."""
    values: dict[str, Any] = {}
    for column in fields(kind):  # type: ignore[arg-type]
        value = row[column.name]
        values[column.name] = bool(value) if column.name in _FLAGS else value
    return kind(**values)
