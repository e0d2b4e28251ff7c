"""All figures of all roasts as one tidy table, a pandas DataFrame."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roastside.book.filters import Condition
from roastside.book.roasts import EVERYTHING
from roastside.book.store import Book

if TYPE_CHECKING:
    from pandas import DataFrame

TEXTS = {
    "title": "roast.title",
    "coffee": "coalesce(coffee.name, '')",
    "lot": "coalesce(lot.name, '')",
    "reference": "roast.reference_title",
    "roasted_by": "roast.roasted_by",
    "verdict": "roast.verdict",
    "remarks": "roast.remarks",
    "file": "roast.file",
}
NUMBERS = {
    "charge_weight_g": "roast.charge_weight_g",
    "roasted_weight_g": "roast.roasted_weight_g",
    "loss_share": "roast.loss",
    "colour": "roast.colour",
    "cup_score": "roast.cup_score",
    "total_s": "roast.total_s",
    "drying_share": "roast.drying_share",
    "browning_share": "roast.browning_share",
    "development_s": "roast.development_s",
    "development_share": "roast.development_ratio",
    "charge_c": "roast.charge_c",
    "turning_point_s": "roast.turning_point_s",
    "turning_point_c": "roast.turning_point_c",
    "yellowing_s": "roast.yellowing_s",
    "yellowing_c": "roast.yellowing_c",
    "first_crack_s": "roast.first_crack_s",
    "first_crack_c": "roast.first_crack_c",
    "drop_c": "roast.drop_c",
    "worst_departure_c": "roast.worst_departure_c",
    "within_corridor_share": "roast.within_share",
}
"""Column names, which tell the unit (a share is from 0 to 1), and what they are in the book."""

_COLUMNS = {
    "started_at": "roast.started_at",
    "started_utc": "roast.started_utc",
    **TEXTS,
    **NUMBERS,
    "readings": "roast.readings",
}


def figures_frame(book: Book, where: Condition = EVERYTHING) -> DataFrame:
    """A row a roast, oldest first.

    `started_utc` is a time in UTC and `started_at` the text of the recording, with its offset; the
    NUMBERS are floats, NaN where unknown; the TEXTS empty.
    """
    import pandas as pd

    columns = ", ".join(f'{told} AS "{name}"' for name, told in _COLUMNS.items())
    rows = book.db.execute(
        f"SELECT {columns} FROM roast LEFT JOIN coffee ON coffee.id = roast.coffee_id"
        f" LEFT JOIN lot ON lot.id = roast.lot_id WHERE {where.sql}"
        " ORDER BY roast.started_utc, roast.id",
        where.parameters,
    ).fetchall()
    frame = pd.DataFrame([tuple(row) for row in rows], columns=list(_COLUMNS))
    frame["started_utc"] = pd.to_datetime(
        frame["started_utc"], utc=True, errors="coerce", format="ISO8601"
    )
    kinds = dict.fromkeys(NUMBERS, "float64") | dict.fromkeys(TEXTS, "str")
    return frame.astype({**kinds, "started_at": "str", "readings": "int64"})
