"""Where things are kept on this machine."""

from __future__ import annotations

import os
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from roastside.core.errors import RecordError, StoreError, UsageError
from roastside.live.beginnings import plan_with_development, replayed_roast
from roastside.live.home import (
    cautions_were_read,
    home,
    new_recording,
    note_cautions_read,
    recordings,
    rescue_folders,
)
from roastside.live.kept import kept_recordings
from roastside.live.opening import load_reference, new_recorder
from roastside.record.reader import read_roast_file
from tests.live.running import HOUSE

SEVEN = datetime(2026, 3, 2, 7, 14, 9)


@pytest.fixture
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def without_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A home that no folder can be made in."""
    (tmp_path / "home").touch()
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))


def test_the_home_is_the_one_chosen_or_the_platform_s(
    at_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert home() == at_home
    monkeypatch.setenv("ROASTSIDE_HOME", "~/coffee")
    assert home() == Path.home() / "coffee"
    monkeypatch.setenv("ROASTSIDE_HOME", "")
    assert home().name == "roastside"
    assert home().is_absolute()


def test_a_recording_is_named_by_its_time_and_never_takes_the_place_of_another(
    at_home: Path,
) -> None:
    names = []
    for _ in range(3):
        path = new_recording(SEVEN)
        path.touch()
        names.append(path.name)
    assert path.parent == at_home / "recordings"
    assert names == [
        "2026-03-02 07.14.09.csv",
        "2026-03-02 07.14.09 (2).csv",
        "2026-03-02 07.14.09 (3).csv",
    ]


@pytest.mark.usefixtures("without_home")
def test_a_home_that_cannot_be_used_is_told_in_a_sentence() -> None:
    with pytest.raises(StoreError, match="ROASTSIDE_HOME"):
        recordings()
    assert kept_recordings() == []
    note_cautions_read()
    assert not cautions_were_read()
    assert rescue_folders() == (Path.home(), Path(tempfile.gettempdir()))


def test_cautions_are_remembered_as_read(at_home: Path) -> None:
    assert not cautions_were_read()
    note_cautions_read()
    assert cautions_were_read()


def test_recordings_are_listed_newest_first_and_nothing_else(at_home: Path) -> None:
    assert kept_recordings() == []
    for age, name in enumerate(("new.csv", "older.csv", "oldest.csv")):
        path = recordings() / name
        path.touch()
        os.utime(path, (1e9 - age, 1e9 - age))
    (recordings() / "notes.txt").touch()
    assert [kept.path.name for kept in kept_recordings()] == ["new.csv", "older.csv", "oldest.csv"]
    assert kept_recordings()[0].at == datetime.fromtimestamp(1e9, UTC)


def test_a_recording_is_as_new_as_its_name_says_whenever_it_was_written(at_home: Path) -> None:
    names = ["2026-03-18 06.40.00 (2).csv", "2026-03-09 06.40.00.csv", "2026-03-07 06.42.09.csv"]
    for age, name in enumerate(names):
        path = recordings() / name
        path.touch()
        os.utime(path, (1e9 + age, 1e9 + age))  # as after a restore: the oldest written last
    (recordings() / "2026-03-40 06.40.00.csv").touch()  # no such day: as new as it was written
    os.utime(recordings() / "2026-03-40 06.40.00.csv", (1e9, 1e9))
    assert [kept.path.name for kept in kept_recordings()] == [*names, "2026-03-40 06.40.00.csv"]


def test_no_more_than_fifty_recordings_are_listed(at_home: Path) -> None:
    for count in range(55):
        (recordings() / f"{count}.csv").touch()
    assert len(kept_recordings()) == 50


def test_a_new_recording_says_what_it_is_and_what_it_is_held_against(at_home: Path) -> None:
    path = new_recording(SEVEN)
    recorder = new_recorder(path, SEVEN, "Morning batch", load_reference(HOUSE))
    recorder.open()
    recorder.close()
    header = read_roast_file(path).header
    assert header["title"] == "Morning batch"
    assert header["reference"] == "House espresso v3"
    assert datetime.fromisoformat(header["started_at"]) == SEVEN.astimezone()


def test_a_recording_played_again_is_opened_before_the_screen_changes(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="not there"):
        replayed_roast(tmp_path / "gone.csv")


def test_a_development_target_is_optional() -> None:
    assert plan_with_development("").development_s is None
    assert plan_with_development("20%").development_ratio == 0.2
    with pytest.raises(UsageError, match="seconds such as 75"):
        plan_with_development("a bit")


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="needs a zone to be set")
def test_a_recording_is_named_by_the_clock_of_the_shop(
    at_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "EST5")
    time.tzset()
    try:
        path = new_recording(SEVEN)
        path.touch()
        (kept,) = kept_recordings()
        assert kept.at == datetime(2026, 3, 2, 12, 14, 9, tzinfo=UTC)
    finally:
        monkeypatch.undo()
        time.tzset()
