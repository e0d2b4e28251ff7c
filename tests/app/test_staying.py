"""What stays is spared by the garbage collector once; what is opened later is not."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.app.app import RoastsideApp
from roastside.app.screens.references import ReferencesScreen
from roastside.app.screens.today import TodayScreen
from roastside.app.staying import spare_what_stays
from roastside.live.home import note_cautions_read
from tests.app.screens.test_roast_screen import until


@pytest.fixture(autouse=True)
def collector() -> Iterator[None]:
    gc.unfreeze()
    yield
    gc.unfreeze()


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()


async def test_what_is_there_at_the_first_paint_is_spared_and_later_screens_are_not() -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: gc.get_freeze_count() > 0, "the first paint")
        spared = gc.get_freeze_count()
        await pilot.press("e")
        await until(pilot, lambda: isinstance(app.screen, ReferencesScreen), "References")
        # What is spared is not among the objects that the collector looks through.
        looked_through = {id(each) for each in gc.get_objects()}
        assert id(app.screen) in looked_through and id(app) not in looked_through
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
        assert gc.get_freeze_count() <= spared


def test_asked_again_nothing_more_is_spared() -> None:
    spare_what_stays()
    later: list[object] = []
    spare_what_stays()
    assert gc.is_tracked(later) and any(each is later for each in gc.get_objects())
