"""What each version of a reference earned: the roasts held against it, and how they turned out."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.book.store import Book


@dataclass(frozen=True, slots=True)
class Earned:
    """The roasts of one version. Shares 0 to 1; None where no roast tells it.

    `good`, `fair`, `poor`: how many were given that verdict. `loss` and `cup_score` are means,
    `scored` is how many cup scores there are. `last_at`: when the latest roast began, ISO 8601.
    """

    roasts: int = 0
    good: int = 0
    fair: int = 0
    poor: int = 0
    loss: float | None = None
    cup_score: float | None = None
    scored: int = 0
    within_share: float | None = None
    last_at: str | None = None


def earned(book: Book) -> dict[int, Earned]:
    """What every version that was roasted to earned, by its id."""
    # With max(), SQLite takes the other bare columns from the row that has the maximum.
    rows = book.db.execute(
        "SELECT version_id, count(*) AS roasts, sum(verdict = 'good') AS good,"
        " sum(verdict = 'fair') AS fair, sum(verdict = 'poor') AS poor, avg(loss) AS loss,"
        " avg(cup_score) AS cup_score, count(cup_score) AS scored,"
        " avg(within_share) AS within_share, max(started_utc), started_at AS last_at"
        " FROM roast WHERE version_id IS NOT NULL GROUP BY version_id"
    )
    return {
        row["version_id"]: Earned(
            row["roasts"],
            row["good"],
            row["fair"],
            row["poor"],
            row["loss"],
            row["cup_score"],
            row["scored"],
            row["within_share"],
            row["last_at"],
        )
        for row in rows
    }
