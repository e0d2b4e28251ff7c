"""References on the screen: making them, editing them, and the story they tell."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Checkbox, Input

from roastside.app.app import RoastsideApp
from roastside.app.screens.ask import AskDialog
from roastside.app.screens.edit_reference import EditReference
from roastside.app.screens.log import LogScreen
from roastside.app.screens.reading import ReadingDialog
from roastside.app.screens.reference_page import ReferencePage
from roastside.app.screens.references import ReferencesScreen
from roastside.app.screens.roast_page import RoastPage
from roastside.app.screens.today import TodayScreen
from roastside.app.widgets.chart import CurveChart
from roastside.book.store import Book
from roastside.book.versions import version_titled
from roastside.live.home import note_cautions_read
from roastside.record.reference_file import read_reference_file
from tests.app.screens.test_roast_screen import shown, until
from tests.book.homes import FIXTURES
from tests.live.reference_homes import GOOD, home_with_story, roasted


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "home"
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    note_cautions_read()
    return home


async def on(pilot: Pilot[None], screen: type[object], says: str = "") -> None:
    """Wait until a screen is there and says something."""
    app = pilot.app
    await until(pilot, lambda: isinstance(app.screen, screen), screen.__name__)
    if says:
        await until(pilot, lambda: says in shown(app), f"“{says}”")  # type: ignore[arg-type]


async def the_story(pilot: Pilot[None]) -> None:
    await pilot.press("e")
    await on(pilot, ReferencesScreen, "House espresso")
    await pilot.press("enter")
    await on(pilot, ReferencePage, "Browning")


def typed(app: RoastsideApp, field: str) -> Input:
    return app.screen.query_one(f"#{field}", Input)


async def test_from_a_first_roast_to_a_version_that_was_roasted_to(home: Path) -> None:
    roasted(home, GOOD, "House espresso v3", "2026-03-04", verdict="good")
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("e")
        await on(pilot, ReferencesScreen, "No references yet")
        await pilot.press("n")
        await on(pilot, LogScreen, "verdict:good")
        await pilot.press("m")
        await on(pilot, EditReference, "3 cues: heat to 78 %")
        assert "New: House espresso v4" in shown(app)
        typed(app, "new-author").value = "Ines"
        await pilot.press("ctrl+s")
        await on(pilot, LogScreen)
        await pilot.press("escape", "escape")
        await on(pilot, ReferencesScreen, "● House espresso v4")

        await pilot.press("enter")
        await on(pilot, ReferencePage, "Made from the roast of 4 March 2026")
        await pilot.press("n")
        await on(pilot, EditReference, "Say what is to change")
        await pilot.press(*"browning 20 s longer")
        await until(pilot, lambda: "(+20 s), rate" in shown(app), "what changes")
        assert "The rate changes by up to" not in shown(app)
        await pilot.press("pagedown")
        await until(pilot, lambda: "The rate changes by up to" in shown(app), "the rest")
        typed(app, "new-reason").value = "flat in the cup"
        await pilot.press("ctrl+s")
        await on(pilot, ReferencePage, "v5 · current")
        assert "Not roasted to yet." in shown(app) and "flat in the cup" in shown(app)

        facts = {"verdict": "good", "cup_score": "84.25", "roasted_weight_g": "1275"}
        roasted(home, "later", "House espresso v5", "2026-03-12", **facts)
        await pilot.press("escape", "escape")
        await on(pilot, TodayScreen)
        await the_story(pilot)
        await until(pilot, lambda: "cup 84.2" in shown(app), "the score")
        assert "1 roast: 1 good" in shown(app) and "loss 15.0 %" in shown(app)
    lineage = read_reference_file(home / "references" / "House espresso v5.csv").lineage
    assert (lineage.parent, lineage.change) == ("House espresso v4", "browning 20 s longer")
    assert lineage.reason == "flat in the cup"


async def test_trouble_is_said_while_typing_and_nothing_wrong_is_kept(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await the_story(pilot)
        await pilot.press("n")
        await on(pilot, EditReference, "Say what is to change")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "Nothing is changed yet" in shown(app), "the refusal")
        await pilot.press(*"browning 900 s longer")
        await until(pilot, lambda: "cannot be 900 s" in shown(app), "the limit")
        assert typed(app, "new-change").value == "browning 900 s longer"
        await pilot.press("ctrl+s")
        assert isinstance(app.screen, EditReference)
        await pilot.press("escape")
        await until(pilot, lambda: "It is not kept yet" in shown(app), "the warning")
        assert isinstance(app.screen, EditReference)
        await pilot.press("x")
        await until(pilot, lambda: "It is not kept yet" not in shown(app), "typing on")
        await pilot.press("escape", "escape")
        await on(pilot, ReferencePage)
    assert len(list(home.glob("references/*.csv"))) == 2


async def test_the_change_is_drawn_beneath_the_curve(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(160, 45)) as pilot:
        await the_story(pilot)
        await pilot.press("n")
        await on(pilot, EditReference, "Say what is to change")
        await pilot.press(*"gentler start")
        await until(pilot, lambda: "change of rate" in shown(app), "the change of rate")
        names = {s.name for s in app.screen.query_one("#new-chart", CurveChart).data.series}
        assert {"bean", "rate", "before"} <= names


async def test_another_version_is_made_current_when_agreed(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 40)) as pilot:
        await the_story(pilot)
        await pilot.press("up", "m")
        await on(pilot, AskDialog, "Make House espresso v4 current?")
        await pilot.press("escape")
        await on(pilot, ReferencePage, "v5 · current")
        await pilot.press("m")
        await on(pilot, AskDialog)
        await pilot.press("y")
        await on(pilot, ReferencePage, "v4 · current")
        assert "v5 · current" not in shown(app)
    with Book.open(home, write=False) as book:
        version = version_titled(book, "House espresso v4")
        assert version is not None and version.is_current


async def test_a_note_is_part_of_the_story(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 40)) as pilot:
        await the_story(pilot)
        await pilot.press("w")
        await until(pilot, lambda: "Note about House espresso v5" in shown(app), "the question")
        await pilot.press(*"keep it", "enter")
        await on(pilot, ReferencePage, "keep it")


async def test_roasts_repeats_and_the_curve_of_a_version_are_a_key_away(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await the_story(pilot)
        await pilot.press("d")
        await until(pilot, lambda: "dotted: House espresso v4" in shown(app), "the curve")
        await pilot.press("escape")
        await until(pilot, lambda: "Browning" in shown(app), "the story again")
        await pilot.press("c")
        await on(pilot, ReadingDialog, "has 2 repeats")
        await pilot.press("escape")
        await on(pilot, ReferencePage)
        await pilot.press("enter")
        await on(pilot, LogScreen, "2 of 6")
        await pilot.press("escape", "escape")
        await on(pilot, ReferencePage, "Browning")
        await pilot.press("w")
        await pilot.press(*"still open", "enter")
        await on(pilot, ReferencePage, "still open")


async def test_several_picked_roasts_become_their_mean(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await on(pilot, LogScreen, "6 roasts")
        await pilot.press("space", "space", "m")
        await on(pilot, EditReference, "Their spread is the corridor")
        assert "the mean of 2 roasts" in shown(app)
        app.screen.query_one("#new-current", Checkbox).value = False
        typed(app, "new-name").value = ""
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "needs a name" in shown(app), "the refusal")
        typed(app, "new-name").value = "Steady house"
        await until(pilot, lambda: "New: Steady house v1" in shown(app), "the new title")
        await pilot.press("ctrl+s")
        await on(pilot, LogScreen)
    lineage = read_reference_file(home / "references" / "Steady house v1.csv").lineage
    assert lineage.origin == "repeats" and len(lineage.made_from) == 2


async def test_a_roast_page_makes_a_reference_of_its_roast(home: Path) -> None:
    home_with_story(home)
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await on(pilot, LogScreen, "6 roasts")
        await pilot.press("enter")
        await on(pilot, RoastPage)
        await pilot.press("m")
        await on(pilot, EditReference, "3 cues")
        assert "New: House espresso v6" in shown(app)
        await pilot.press("escape")
        await on(pilot, RoastPage)


async def test_a_roast_that_is_unfit_is_said_in_a_sentence(home: Path) -> None:
    recordings = home / "recordings"
    recordings.mkdir(parents=True)
    unfit = FIXTURES / "house-fahrenheit.csv"
    (recordings / unfit.name).write_bytes(unfit.read_bytes())
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await on(pilot, LogScreen, "1 roast")
        await pilot.press("m")
        await on(pilot, EditReference, "cannot be a reference")
        await pilot.press("ctrl+s", "escape")
        await on(pilot, LogScreen)
    assert list(home.glob("references/*.csv")) == []
