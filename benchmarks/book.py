"""How fast the book is made anew and searched, and how large it is, as roasts become many.

    python benchmarks/book.py [N ...] [--folder DIR] [--seed N]

For each N (100, 1,000, 10,000) a home of N roasts is made in DIR: a fixture of twelve minutes at
two readings a second, its readings changed a little, held against one of twelve versions of three
references. Then, in one run:

- roasts a second of a rebuild, beside two baselines over the same files: reading all bytes with
  their sha256, which nothing that knows the files by their content can beat; and `read_csv` of
  pandas, which reads the tables and tells no figure;
- size of the book, and how much of it is one roast;
- milliseconds to count the roasts and read the first page of the Log, to read a later page, and of
  what a person types letter by letter (the median and the worst of all letters).
"""

from __future__ import annotations

import argparse
import hashlib
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from roastside.book.filters import condition
from roastside.book.intake import take_in_all
from roastside.book.rebuild import rebuild
from roastside.book.roasts import count_roasts, roasts
from roastside.book.store import BOOK_NAME, Book
from roastside.live.opening import load_reference
from roastside.record.lineage import Lineage
from roastside.record.reader import read_roast_file
from roastside.record.reference_file import write_reference_file

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures"
COFFEES = ("House espresso", "Quarry Road natural", "Fenmoor washed")
PEOPLE = ("Ines", "Tom", "Maud")
VERDICTS = ("good", "good", "fair", "poor", "")
BEGIN = datetime(2020, 1, 2, 6, 30, tzinfo=UTC)

BODIES = 40
"""So many different roasts; beyond them only the headers differ."""

READ_BY_PANDAS = 200
PAGE = 64
TYPED = ("fenmoor", "quarry road ines", "march good", "coffee:house loss>14.5", "since:2021-03")


def make_home(home: Path, count: int, seed: int) -> None:
    """Write references and recordings."""
    chance = np.random.default_rng(seed)
    (home / "recordings").mkdir(parents=True)
    (home / "references").mkdir()
    curve = load_reference(FIXTURES / "house-espresso-v3.csv")
    for coffee in COFFEES:
        for version in (1, 2, 3, 4):
            lineage = Lineage(coffee, version, coffee, "roast")
            path = home / "references" / f"{lineage.title}.csv"
            write_reference_file(path, replace(curve, title=lineage.title), lineage.header())
    bodies = [body(chance) for _ in range(BODIES)]
    for number in range(count):
        coffee = COFFEES[number % 3]
        begun = BEGIN + timedelta(hours=5 * number)
        head = {
            "title": f"{coffee}, batch {number + 1}",
            "coffee": coffee,
            "lot": f"{begun.year}-{begun.month // 4 + 1}",
            "started_at": begun.isoformat(),
            "reference": f"{coffee} v{min(4, 1 + 4 * number // count)}",
            "charge_weight_g": "1500",
            "roasted_weight_g": f"{chance.normal(1280.0, 9.0):.0f}",
            "roasted_by": PEOPLE[int(chance.integers(3))],
            "verdict": VERDICTS[int(chance.integers(5))],
        }
        lines = ["# roastside roast file 1", *(f"# {key}: {value}" for key, value in head.items())]
        path = home / "recordings" / f"{begun:%Y-%m-%d %H.%M.%S}.csv"
        path.write_text("\n".join(lines) + "\n" + bodies[number % BODIES], "utf-8")


def body(chance: np.random.Generator) -> str:
    """The table of a roast: the fixture's, with a slow drift, a little noise and other marks."""
    file = read_roast_file(FIXTURES / "house-good-repeat-1.csv")
    drift_c = chance.normal(0.0, 0.8)
    lines = [",".join(file.columns)]
    for row in file.rows:
        if row.bean_c is not None and row.air_c is not None:
            bean_c = row.bean_c + drift_c * min(row.time_s / 300.0, 1.0) + chance.normal(0.0, 0.1)
            lines.append(f"{row.time_s:.2f},{bean_c:.2f},{row.air_c:.2f},,,")
        elif row.mark != "comment":
            shift_s = chance.normal(0.0, 3.0) if row.mark == "first_crack" else 0.0
            lines.append(f"{row.time_s + shift_s:.3f},,,{row.mark},{row.value},{row.note}")
    return "\n".join(lines) + "\n"


def seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def read_all(home: Path) -> None:
    for path in (home / "recordings").iterdir():
        hashlib.sha256(path.read_bytes()).hexdigest()


def read_by_pandas(home: Path) -> None:
    for path in sorted((home / "recordings").iterdir())[:READ_BY_PANDAS]:
        pd.read_csv(path, comment="#")


def letters(text: str) -> Iterator[str]:
    return (text[:end] for end in range(1, len(text) + 1))


def first_page(book: Book, text: str) -> None:
    where = condition(text)
    count_roasts(book, where)
    roasts(book, where, most=PAGE)


def measure(home: Path, count: int) -> None:
    """Print a line for each thing measured in a home of `count` roasts."""
    empty = home / "empty"
    Book.open(empty).close()
    empty_bytes = (empty / BOOK_NAME).stat().st_size

    bytes_s = seconds(lambda: read_all(home))
    pandas_s = seconds(lambda: read_by_pandas(home)) * max(1.0, count / READ_BY_PANDAS)
    rebuild_s = seconds(lambda: rebuild(home, datetime.now()))
    print(
        f"{count:>7,} roasts: rebuild {count / rebuild_s:,.0f} roasts/s; it takes "
        f"{rebuild_s / bytes_s:.0f} times as long as all bytes and their sha256, and "
        f"{rebuild_s / pandas_s:.2f} times as long as pandas.read_csv"
    )
    size = (home / BOOK_NAME).stat().st_size
    print(f"        book {size / 1e6:.2f} MB, {(size - empty_bytes) / count:,.0f} bytes a roast")

    with Book.open(home) as book:
        unchanged_s = seconds(lambda: take_in_all(book))
    opened_s = seconds(lambda: first_page_of_new(home))
    with Book.open(home) as book:
        later_s = seconds(lambda: roasts(book, first=count // 2, most=PAGE))
        by_loss_s = seconds(lambda: roasts(book, sort="loss", most=PAGE))
        typed_s = [
            seconds(lambda text=text: first_page(book, text))  # type: ignore[misc]
            for typed in TYPED
            for text in letters(typed)
        ]
    print(
        f"        open and first page {1e3 * opened_s:.1f} ms, a page in the middle "
        f"{1e3 * later_s:.1f} ms, sorted by loss {1e3 * by_loss_s:.1f} ms; a letter typed "
        f"{1e3 * statistics.median(typed_s):.1f} ms (worst {1e3 * max(typed_s):.1f} ms); looking "
        f"for new files {1e3 * unchanged_s:.1f} ms"
    )


def first_page_of_new(home: Path) -> None:
    with Book.open(home) as book:
        first_page(book, "")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    options.add_argument("counts", nargs="*", type=int, default=[100, 1_000, 10_000])
    options.add_argument("--folder", help="where there is room for 50 KB a roast")
    options.add_argument("--seed", type=int, default=6)
    chosen = options.parse_args()
    # The first file costs the imports.
    with suppress(OSError):
        pd.read_csv(FIXTURES / "house-espresso-v3.csv", comment="#")
    for count in chosen.counts:
        with tempfile.TemporaryDirectory(dir=chosen.folder) as folder:
            home = Path(folder)
            make_home(home, count, chosen.seed)
            measure(home, count)


if __name__ == "__main__":
    main()
