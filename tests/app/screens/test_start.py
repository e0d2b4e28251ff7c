"""Starting a roast: what is asked, the short checklist, and going on after a crash."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Select

from roastside.app.app import RoastsideApp
from roastside.app.screens.checklist import Checklist
from roastside.app.screens.fill_in import FillInScreen
from roastside.app.screens.resume import ResumeDialog
from roastside.app.screens.roast import RoastScreen
from roastside.app.screens.setup import SetupDialog
from roastside.app.screens.today import TodayScreen
from roastside.book.intake import take_in
from roastside.book.store import Book
from roastside.book.versions import make_current, take_in_version
from roastside.core.readings import MarkName
from roastside.live.home import home as home_folder
from roastside.live.home import note_cautions_read, recordings
from roastside.live.references import from_roast, save_reference
from roastside.live.under_way import noted_under_way
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.facts import append_fact
from roastside.record.lineage import Lineage
from roastside.record.reader import read_roast_file
from tests.app.screens.test_roast_screen import shown, until
from tests.live.test_resume import cut_short, noted

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    line = virtual_line()
    yield line
    line.unplug()


async def send(line: VirtualLine, app: RoastsideApp, times: int = 20) -> None:
    for n in range(times):
        line.write(f"{201.0 + n % 2 * 0.25},230.0\n".encode())
        await asyncio.sleep(0.02)


async def asked(app: RoastsideApp, pilot: Pilot[None], line: VirtualLine) -> SetupDialog:
    await pilot.press("r")
    await until(pilot, lambda: isinstance(app.screen, SetupDialog), "the questions")
    screen = app.screen
    assert isinstance(screen, SetupDialog)
    screen.query_one("#port", Input).value = line.port
    return screen


async def test_what_was_chosen_and_checked_is_in_the_recording(line: VirtualLine) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await asked(app, pilot, line)
        screen.query_one("#coffee", Input).value = "House espresso"
        screen.query_one("#lot", Input).value = "Spring"
        screen.query_one("#charge-weight", Input).value = "3 lb 5 oz"
        screen.query_one("#roasted-by", Input).value = "Ines"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Checklist), "the checklist")
        await send(line, app)
        await until(pilot, lambda: "201" in shown(app) and "steady" in shown(app), "the probe")
        await pilot.press("2", "4", "2", "1", "enter")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        assert len(noted_under_way()) == 1
        assert "checked=" not in shown(app)
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
    [path] = recordings().glob("*.csv")
    header = read_roast_file(path).header
    assert header["coffee"] == "House espresso" and header["lot"] == "Spring"
    # 3 lb and 5 oz: the pound is 0.45359237 kg (International Yard and Pound Agreement, 1959).
    assert float(header["charge_weight_g"]) == pytest.approx(3 * 453.59237 + 5 * 28.349523125)
    assert header["roasted_by"] == "Ines"
    assert header["checked"] == "probe, extinguisher"
    assert header["title"].startswith("House espresso, 20")
    assert noted_under_way() == []


async def test_once_a_roast_is_left_it_is_asked_what_came_out_and_today_lists_what_is_missing(
    line: VirtualLine,
) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await asked(app, pilot, line)
        screen.query_one("#coffee", Input).value = "House espresso"
        screen.query_one("#charge-weight", Input).value = "1500 g"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Checklist), "the checklist")
        await send(line, app)
        await pilot.press("c")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        await send(line, app)
        await until(pilot, lambda: "charge" in shown(app), "the charge")
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
        await pilot.press("q")
        await until(pilot, lambda: isinstance(app.screen, FillInScreen), "the form")
        form = app.screen
        form.query_one("#fact-roasted-weight-g", Input).value = "1281 g"
        await until(pilot, lambda: "Roast loss 14.6 %" in shown(app), "the loss")
        await pilot.press("enter")
        await until(pilot, lambda: "To be filled in" in shown(app), "Today's list")
        assert "House espresso, 20" in shown(app) and ": verdict" in shown(app)
        options = app.screen.query_one(OptionList)
        [at] = [n for n, o in enumerate(options.options) if (o.id or "").startswith("fill in ")]
        options.highlighted = at
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, FillInScreen), "the form")
        app.screen.query_one("#fact-verdict", Select).value = "good"
        app.screen.query_one("#fact-colour", Input).focus()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
        await pilot.pause(0.3)
        assert "To be filled in" not in shown(app)
    [path] = recordings().glob("*.csv")
    header = read_roast_file(path).header
    assert header["roasted_weight_g"] == "1281" and header["verdict"] == "good"


async def test_the_form_knows_who_roasted_last_and_where_the_probe_was(
    line: VirtualLine,
) -> None:
    last = recordings() / "last week.csv"
    last.write_bytes((FIXTURES / "house-good-repeat-1.csv").read_bytes())
    append_fact(last, "roasted_by", "Ines")
    with Book.open(home_folder()) as book:
        take_in(book, last)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await asked(app, pilot, line)
        assert screen.query_one("#roasted-by", Input).value == "Ines"
        screen.query_one("#baud", Input).value = "19200"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Checklist), "the checklist")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
        await pilot.press("q")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
        await pilot.press("r")
        await until(pilot, lambda: isinstance(app.screen, SetupDialog), "the questions")
        assert app.screen.query_one("#port", Input).value == line.port
        assert app.screen.query_one("#baud", Input).value == "19200"


async def test_the_charge_closes_the_checklist_and_nothing_need_be_ticked(
    line: VirtualLine,
) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await asked(app, pilot, line)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Checklist), "the checklist")
        await send(line, app)
        await pilot.press("c")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        await until(pilot, lambda: "charge" in shown(app), "the charge")
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
    [path] = recordings().glob("*.csv")
    found = read_roast_file(path)
    assert MarkName.CHARGE in found.marks() and "checked" not in found.header


async def test_a_known_coffee_brings_its_usual_weight_lot_and_reference(
    line: VirtualLine, tmp_path: Path
) -> None:
    kept = recordings() / "last week.csv"
    kept.write_bytes((FIXTURES / "house-good-repeat-1.csv").read_bytes())
    facts = {"coffee": "Sun-dried", "lot": "Spring", "charge_weight_g": "1500"}
    for key, value in facts.items():
        append_fact(kept, key, value)
    lineage = Lineage("Sun [dried]", 1, "Sun-dried", origin="roast")
    made = save_reference(from_roast(read_roast_file(kept), lineage.title), lineage)
    with Book.open(home_folder()) as book:
        make_current(book, take_in_version(book, made), datetime(2026, 3, 2, tzinfo=UTC))
        take_in(book, kept)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await asked(app, pilot, line)
        await pilot.press(*"sun-dried")
        await pilot.pause()
        assert screen.query_one("#charge-weight", Input).value == "1500 g"
        kept_field = screen.query_one("#kept", Select)
        assert kept_field.value == str(made)
        assert "Sun [dried] v1" in shown(app)
        await pilot.press("backspace")
        await pilot.pause()
        assert screen.query_one("#charge-weight", Input).value == ""
        screen.query_one("#charge-weight", Input).value = "900 g"
        await pilot.press("d")
        await pilot.pause()
        assert screen.query_one("#charge-weight", Input).value == "900 g"


async def test_a_weight_that_is_none_is_said_and_nothing_typed_is_lost(line: VirtualLine) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await asked(app, pilot, line)
        screen.query_one("#charge-weight", Input).value = "plenty"
        screen.query_one("#coffee", Input).value = "Decaf"
        await pilot.press("enter")
        await until(pilot, lambda: "is no weight" in shown(app), "the sentence")
        assert screen.query_one("#coffee", Input).value == "Decaf"
        screen.query_one("#charge-weight", Input).value = ""
        screen.query_one("#development", Input).value = "long"
        await pilot.press("enter")
        await until(pilot, lambda: "is not a development target" in shown(app), "the sentence")


async def test_after_a_crash_the_roast_is_gone_on_with_from_today(line: VirtualLine) -> None:
    path = cut_short()
    noted(path, 40.0, port=line.port)
    before = path.read_bytes()
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, ResumeDialog), "the offer")
        assert "House espresso, cut short" in shown(app) and "Charged" in shown(app)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        await send(line, app)
        await until(pilot, lambda: "drying" in shown(app) or "browning" in shown(app), "stages")
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
    assert path.read_bytes().startswith(before) and len(path.read_bytes()) > len(before)
    assert [each.name for each in recordings().iterdir()] == ["cut.csv"]


async def test_what_is_not_gone_on_with_is_left_as_it_is() -> None:
    path = cut_short()
    noted(path, 40.0)
    before = path.read_bytes()
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, ResumeDialog), "the offer")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
    assert path.read_bytes() == before
