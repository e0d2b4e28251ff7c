"""Today, where restoring a backup was cut short before."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.app.app import RoastsideApp
from roastside.app.screens.today import TodayScreen
from roastside.live.home import note_cautions_read
from tests.book.test_dying import cut_short, pytestmark  # noqa: F401


async def test_today_ends_it_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = cut_short(tmp_path)
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    note_cautions_read()
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)):
        assert isinstance(app.screen, TodayScreen)
        (told,) = [note.message for note in app._notifications]
        assert told.startswith("Restoring a backup had been cut short, and was ended now; ")
        assert {path.stem for path in (home / "recordings").glob("*.csv")} == {"c", "d", "e"}
        assert len(app.screen._kept) == 3
