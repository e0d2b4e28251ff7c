"""A past roast opened, filled in, and laid over others."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Checkbox, Input, Select, Static

from roastside.app.app import RoastsideApp
from roastside.app.screens.fill_in import FillInScreen
from roastside.app.screens.log import LogScreen
from roastside.app.screens.overlay import OverlayScreen
from roastside.app.screens.roast_page import RoastPage
from roastside.app.widgets.chart import CurveChart
from roastside.book.store import BOOK_NAME
from roastside.live.home import note_cautions_read
from roastside.record.reader import read_roast_file
from tests.app.screens.test_roast_screen import shown, until
from tests.book.homes import home_of, write_roast
from tests.live.log_homes import shop

GOOD, SLOW = "house-good-repeat-1", "house-slow-browning"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    note_cautions_read()
    return tmp_path


@asynccontextmanager
async def page(home: Path, *names: str) -> AsyncIterator[Pilot[None]]:
    """The page of the newest of these roasts."""
    shop(home, *names)
    app = RoastsideApp()
    async with app.run_test(size=(140, 40)) as pilot:
        await pilot.press("l")
        await until(pilot, lambda: isinstance(app.screen, LogScreen), "the log")
        log = app.screen
        assert isinstance(log, LogScreen)
        await until(pilot, lambda: not log._log.taking_in.busy, "the taking in")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, RoastPage), "the roast")
        await until(pilot, lambda: "The rate of rise" in shown(app), "what its rate did")
        yield pilot


async def test_a_roast_is_shown_with_its_curve_figures_and_notes(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        chart = pilot.app.screen.query_one(CurveChart)
        assert [line.name for line in chart.data.series] == ["bean", "rate", "air"]
        text = shown(pilot.app)
        assert "Still to fill in: verdict (e)." in text
        assert "first crack" in text
        assert "0:00 80 heat %" in text


async def test_what_is_filled_in_is_kept_in_the_file_and_shown(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, FillInScreen), "the form")
        form = pilot.app.screen
        form.query_one("#fact-roasted-weight-g", Input).value = "2.8 lb"
        await pilot.pause()
        # 2.8 lb of 0.45359237 kg (International Yard and Pound Agreement, 1959) out of 1.5 kg.
        assert "Roast loss 15.3 %" in str(form.query_one("#fact-loss", Static).render())
        form.query_one("#fact-verdict", Select).value = "good"
        form.query_one("#fact-remarks", Input).focus()
        await pilot.press(*"sweet", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the page")
        await until(pilot, lambda: "Remarks: sweet" in shown(pilot.app), "the remarks")
        assert "Still to fill in" not in shown(pilot.app)
        assert "15.3 %" in shown(pilot.app)
    header = read_roast_file(home / "recordings" / f"{GOOD}.csv").header
    assert float(header["roasted_weight_g"]) == pytest.approx(2.8 * 453.59237)
    assert (header["verdict"], header["remarks"]) == ("good", "sweet")


async def test_what_does_not_fit_is_said_and_the_form_stays(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        before = (home / "recordings" / f"{GOOD}.csv").read_bytes()
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, FillInScreen), "the form")
        pilot.app.screen.query_one("#fact-cup-score", Input).value = "lovely"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "“lovely” is no number" in shown(pilot.app), "the sentence")
        await pilot.press("escape")
        await until(pilot, lambda: "is not kept yet" in shown(pilot.app), "the question")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the page")
        assert (home / "recordings" / f"{GOOD}.csv").read_bytes() == before


async def test_a_verdict_that_was_chosen_is_not_left_without_a_word(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, FillInScreen), "the form")
        pilot.app.screen.query_one("#fact-verdict", Select).value = "good"
        await pilot.press("escape", "tab", "escape")
        assert isinstance(pilot.app.screen, FillInScreen), "somebody went on filling in"
        assert "Ctrl+S keeps it" in shown(pilot.app)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the page")
    assert read_roast_file(home / "recordings" / f"{GOOD}.csv").header["verdict"] == "good"


async def test_a_form_in_which_nothing_was_typed_is_left_at_once(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, FillInScreen), "the form")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, RoastPage)


async def test_without_a_book_to_open_it_is_filled_in_from_and_into_the_recording(
    home: Path,
) -> None:
    write_roast(home_of(home), verdict="fair")
    (home / BOOK_NAME).write_bytes(b"no book at all, but long enough to be looked at")
    app = RoastsideApp()
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("l")
        await until(pilot, lambda: isinstance(app.screen, LogScreen), "the log")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, RoastPage), "the page")
        await pilot.press("e")
        await until(pilot, lambda: isinstance(app.screen, FillInScreen), "the form")
        form = app.screen
        assert form.query_one("#fact-verdict", Select).value == "fair", "as the recording has it"
        form.query_one("#fact-roasted-weight-g", Input).value = "1281 g"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, RoastPage), "the page")
    header = read_roast_file(home / "recordings" / "a.csv").header
    assert (header["roasted_weight_g"], header["verdict"]) == ("1281", "fair")


async def test_nothing_more_to_fill_in_is_one_tick(home: Path) -> None:
    async with page(home, GOOD) as pilot:
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, FillInScreen), "the form")
        pilot.app.screen.query_one("#fact-settled", Checkbox).value = True
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the page")
        assert "Still to fill in" not in shown(pilot.app)


async def test_it_is_compared_with_a_picked_roast(home: Path) -> None:
    async with page(home, GOOD, SLOW) as pilot:
        await pilot.press("c")
        assert "browning" not in comparison(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, LogScreen), "the log")
        await pilot.press("down", "space", "home", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the roast")
        await pilot.press("c")
        await until(pilot, lambda: "this  longer" in shown(pilot.app), "the comparison")
        assert "Browning" in comparison(pilot)
        await pilot.press("c")
        await until(pilot, lambda: "this  longer" not in shown(pilot.app), "the end of it")


def comparison(pilot: Pilot[None]) -> str:
    """The part of the page above the figures."""
    words = str(pilot.app.screen.query_one("#page-words", Static).render())
    return words.partition("coffee   ")[0]


async def test_it_is_laid_over_the_picked_roasts_and_lined_up_by_a_key(home: Path) -> None:
    async with page(home, GOOD, SLOW) as pilot:
        await pilot.press("space", "escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, LogScreen), "the log")
        await pilot.press("end", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the other roast")
        await pilot.press("o")
        over = pilot.app.screen
        await until(pilot, lambda: isinstance(pilot.app.screen, OverlayScreen), "the overlay")
        over = pilot.app.screen
        assert isinstance(over, OverlayScreen)
        await until(pilot, lambda: len(over.laid) == 2, "both curves")
        await until(pilot, lambda: "this  longer" in shown(pilot.app), "the numbers")
        await pilot.press("a", "a")
        await until(pilot, lambda: "lined up at first crack" in shown(pilot.app), "first crack")
        await pilot.press("r")
        await until(pilot, lambda: "rates of rise" in shown(pilot.app), "the rates")
        first = over.laid[0].roast.id
        await pilot.press("f")
        assert over.laid[1].roast.id == first
        await pilot.press("down")
        await until(pilot, lambda: "this  longer" in shown(pilot.app), "the other way round")
