"""The Log screen with 100, 1,000 and 10,000 roasts, beside Textual's DataTable with the same rows.

    python benchmarks/log.py [COUNT ...] [--repeats N]

Measured from the call to the screen that shows it, in a headless app of 160 by 45 cells: opening
the book and showing the first rows; the rows after a key typed in the filter; the 50 newest roasts
laid over each other, read from their files. The baseline keeps the same book open, gives all rows
to a DataTable, and fills it anew after a key, as is usual. The baseline of the overlay is reading
the same files with `record.reader`, without drawing anything. Medians of the repeats.
"""

from __future__ import annotations

import argparse
import asyncio
import random
import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import DataTable, Input

from roastside.app.log_columns import columns
from roastside.app.screens.log import LogScreen
from roastside.app.screens.overlay import OverlayScreen
from roastside.app.staying import spare_what_stays
from roastside.book.filters import condition
from roastside.book.roasts import EVERYTHING, roasts
from roastside.book.store import Book
from roastside.core.units import CELSIUS
from roastside.live.log import RoastLog
from roastside.record.reader import read_roast_file

FIXTURE = Path(__file__).resolve().parents[1] / "fixtures" / "house-good-repeat-1.csv"
COFFEES = ("House espresso", "Quarry Road natural", "Fenmoor washed", "Lantern Hill decaf")
LAID_OVER = 50
SIZE = (160, 45)
TYPED = "q"
_LOOK_S = 0.001


def make_book(home: Path, count: int) -> None:
    """A book of invented roasts, the newest of which have real files."""
    rng = random.Random(count)
    folder = home / "shop"
    folder.mkdir(parents=True)
    original = FIXTURE.read_bytes()
    for number in range(max(count - LAID_OVER, 0), count):
        (folder / f"{number}.csv").write_bytes(original)
    with Book.open(home) as book, book.writing() as db:
        db.executemany("INSERT INTO coffee (name) VALUES (?)", [(name,) for name in COFFEES])
        for number in range(count):
            values = _row(rng, number)
            places = ", ".join("?" * len(values))
            db.execute(
                f"INSERT INTO roast ({', '.join(values)}) VALUES ({places})",
                tuple(values.values()),
            )


def _row(rng: random.Random, number: int) -> dict[str, Any]:
    coffee = rng.randrange(len(COFFEES))
    at = datetime(2020, 1, 2, 7, 30) + timedelta(hours=6 * number)
    title = f"{COFFEES[coffee]}, batch {number + 1}"
    ratio, drying = rng.gauss(0.2, 0.02), rng.gauss(0.45, 0.02)
    return {
        "file": f"shop/{number}.csv",
        "content_hash": "",
        "opening_hash": "",
        "size_bytes": 0,
        "modified_ns": 0,
        "started_at": f"{at.isoformat()}+00:00",
        "started_utc": f"{at.isoformat()}+00:00",
        "title": title,
        "coffee_id": coffee + 1,
        "reference_title": f"{COFFEES[coffee]} v{1 + number % 4}",
        "charge_weight_g": 1500.0,
        "loss": rng.gauss(0.148, 0.008),
        "verdict": rng.choice(("good", "fair", "poor", "")),
        "cup_score": rng.choice((None, 84.0, 85.5)),
        "total_s": rng.gauss(680.0, 25.0),
        "drying_share": drying,
        "browning_share": 1.0 - ratio - drying,
        "development_ratio": ratio,
        "drop_c": rng.gauss(207.0, 1.5),
        "worst_departure_c": rng.gauss(0.0, 2.5),
        "readings": 1400,
        "search": f"{title} {at.date()}".casefold(),
    }


class Bench(App[None]):
    """Knows when something was put on the screen."""

    def __init__(self) -> None:
        super().__init__()
        self._awaited: Callable[[], bool] | None = None
        self._displayed_s = 0.0

    def on_mount(self) -> None:
        self.call_after_refresh(spare_what_stays)  # as RoastsideApp does

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        super()._display(screen, renderable)
        if self._awaited is not None and self._awaited():
            self._displayed_s, self._awaited = time.perf_counter(), None

    async def shown(self, ready: Callable[[], bool]) -> float:
        """When the first display was done at which `ready` held, by `time.perf_counter`."""
        self._awaited = ready
        while self._awaited is not None:
            await asyncio.sleep(_LOOK_S)
        return self._displayed_s


class TableScreen(Screen[None]):
    """The baseline: a DataTable with every row in it, and a line to find."""

    def __init__(self, book: Book) -> None:
        super().__init__()
        self._book = book
        self._columns = columns(CELSIUS)
        self.filled = ""

    def compose(self) -> ComposeResult:
        yield Input()
        yield DataTable()

    def on_mount(self) -> None:
        self.query_one(DataTable).add_columns(*(column.head for column in self._columns))
        self._fill("")

    def on_input_changed(self, event: Input.Changed) -> None:
        self._fill(event.value)

    def _fill(self, text: str) -> None:
        table = self.query_one(DataTable)
        table.clear()
        found = roasts(self._book, condition(text) if text else EVERYTHING)
        table.add_rows([column.text(roast) for column in self._columns] for roast in found)
        self.filled = f"{text}."


async def ours(home: Path) -> tuple[float, float, float]:
    """Seconds to the first rows, to the rows after a key, and to the roasts laid over."""
    app = Bench()
    async with app.run_test(size=SIZE) as pilot:
        begin = time.perf_counter()
        log = RoastLog.open(home, CELSIUS)
        screen = LogScreen(log)
        app.push_screen(screen)
        opened = await app.shown(lambda: screen.is_current and bool(log._pages)) - begin
        await _settled(pilot)

        begin = time.perf_counter()
        screen.query_one(Input).value = TYPED
        narrowed = await app.shown(lambda: log.text == TYPED and bool(log._pages)) - begin
        screen.query_one(Input).value = ""
        await _settled(pilot)

        begin = time.perf_counter()
        over = OverlayScreen(log.shown(LAID_OVER), log)
        app.push_screen(over)
        laid = await app.shown(lambda: bool(over.laid)) - begin
        await _settled(pilot)
    return opened, narrowed, laid


async def data_table(home: Path) -> tuple[float, float]:
    """The same of the baseline: to the first rows, and after a key."""
    app = Bench()
    async with app.run_test(size=SIZE) as pilot:
        begin = time.perf_counter()
        with Book.open(home) as book:
            screen = TableScreen(book)
            app.push_screen(screen)
            opened = await app.shown(lambda: screen.filled == ".") - begin
            await _settled(pilot)
            begin = time.perf_counter()
            screen.query_one(Input).value = TYPED
            return opened, await app.shown(lambda: screen.filled == f"{TYPED}.") - begin


async def _settled(pilot: Pilot[None]) -> None:
    await pilot.pause(0.1)


def read_s(home: Path) -> float:
    """Seconds to read the files of the overlay with the reader that everything else uses."""
    begin = time.perf_counter()
    for path in (home / "shop").glob("*.csv"):
        read_roast_file(path)
    return time.perf_counter() - begin


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("counts", nargs="*", type=int, default=[100, 1_000, 10_000])
    parser.add_argument("--repeats", type=int, default=3)
    options = parser.parse_args()
    print(f"{'':>8}{'first rows':>34}{'rows after a key':>34}{'50 laid over':>34}")
    three = f"{'Log':>12}{'DataTable':>12}{'ratio':>10}"
    print(f"{'roasts':>8}{three}{three}{three.replace('DataTable', ' read only')}")
    for count in options.counts:
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            make_book(home, count)
            asyncio.run(ours(home))  # the first run imports and warms up
            rounds = [
                (asyncio.run(ours(home)), asyncio.run(data_table(home)), read_s(home))
                for _ in range(options.repeats)
            ]
        pairs = [
            ([mine[0] for mine, _, _ in rounds], [theirs[0] for _, theirs, _ in rounds]),
            ([mine[1] for mine, _, _ in rounds], [theirs[1] for _, theirs, _ in rounds]),
            ([mine[2] for mine, _, _ in rounds], [read for _, _, read in rounds]),
        ]
        print(f"{count:>8,}" + "".join(_cells(*map(statistics.median, pair)) for pair in pairs))


def _cells(mine_s: float, theirs_s: float) -> str:
    return f"{1e3 * mine_s:>9.0f} ms{1e3 * theirs_s:>9.0f} ms{theirs_s / mine_s:>9.1f}x"


if __name__ == "__main__":
    main()
