"""What a full disk left elsewhere is put together at the next start, or told of."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.core.plan import RoastPlan
from roastside.core.readings import Reading
from roastside.live.beginnings import listened_roast
from roastside.live.home import recordings, rescue_folders
from roastside.live.line import Line
from roastside.live.rests import join_rests
from roastside.live.under_way import note_under_way, noted_under_way
from roastside.probes.virtual_line import virtual_line
from roastside.record.format import head_text, recording_columns, row_text
from roastside.record.reader import read_roast_file
from roastside.record.rest import rest_header
from tests.live.running import HOUSE, posix_only
from tests.live.sources import HandFedSource

NAME = "2026-03-02 07.14.09.csv"
HEADER = {"title": "Decaf, batch 3"}
COLUMNS = recording_columns()
ROWS = [row_text(Reading(k / 2, 200.0 + k), COLUMNS).encode() for k in range(8)]


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's own folder; roastside's home is beside it."""
    folder = tmp_path / "own"
    folder.mkdir()
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("USERPROFILE", str(folder))
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return folder


def parted(own: Path) -> tuple[Path, Path]:
    """A recording and its rest."""
    recording, rest = recordings() / NAME, own / f"{Path(NAME).stem}-rest-1.csv"
    recording.write_bytes(head_text(HEADER, COLUMNS).encode() + b"".join(ROWS[:5]))
    head = head_text(rest_header(HEADER, recording), COLUMNS).encode()
    rest.write_bytes(head + b"".join(ROWS[5:]))
    return recording, rest


def test_without_rests_there_is_nothing_to_say(own: Path) -> None:
    (own / "to-do-rest-1.csv").write_text("a,list\n")
    assert join_rests() == ""


def test_a_rest_comes_home(own: Path) -> None:
    recording, rest = parted(own)
    assert join_rests() == f"{NAME} is whole again."
    assert len(read_roast_file(recording).rows) == len(ROWS)
    assert not rest.exists()
    assert join_rests() == ""


def test_a_rest_that_must_wait_is_told_of(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _, rest = parted(own)
    usage = shutil.disk_usage(own)._replace(free=100)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    told = join_rests()
    assert told.startswith(f"There is no room yet to put what is in {rest} to its recording ")
    assert told.endswith("; free some space on that disk.")


def test_the_book_takes_a_recording_once_and_no_rest_of_it(own: Path, tmp_path: Path) -> None:
    _, rest = parted(own)
    rest = rest.rename(recordings() / rest.name)
    with Book.open(tmp_path / "home") as book:
        outcome = take_in_all(book)
        assert outcome.roasts == 1
        (why,) = outcome.refused.values()
        assert why.endswith(f"is the rest of {NAME}, which its disk did not take; free some space "
                            "and start roastside again, and it puts them together")  # fmt: skip
        join_rests()
        outcome = take_in_all(book)
        assert (outcome.roasts, outcome.changed, outcome.refused) == (1, 1, {})


@posix_only
def test_a_roast_begins_though_home_cannot_be_written(own: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.touch()  # a file where the folder should be
    with virtual_line() as line:
        roast = listened_roast(Line(line.port, 9600, "lines"), str(HOUSE), "")
        (said,) = roast.board.view().log
        roast.end()
    assert said.tone == "warn" and said.text.endswith(f"For now it is kept in {roast.recording}.")
    assert roast.recording is not None and roast.recording.parent == own
    home.unlink()
    assert join_rests().endswith("is whole again.")
    (recording,) = (home / "recordings").iterdir()
    assert read_roast_file(recording).header["reference"] == "House espresso v3"
    assert list(own.iterdir()) == []


@posix_only
def test_a_roast_that_cannot_begin_is_not_under_way(own: Path) -> None:
    with pytest.raises(Exception, match="no such port"):
        listened_roast(Line("/dev/no such port", 9600, "lines"), "", "")
    assert noted_under_way() == []


def test_a_rest_that_may_be_gone_on_with_is_not_moved_before_the_person_was_asked(
    own: Path,
) -> None:
    _, rest = parted(own)
    forget = note_under_way(rest, HandFedSource(), [], "", RoastPlan())
    assert join_rests() == "" and rest.exists()
    forget()
    assert join_rests() == f"{NAME} is whole again."


def test_with_no_temporary_folder_left_there_is_one_fewer(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full() -> str:
        raise FileNotFoundError(2, "No usable temporary directory found")

    monkeypatch.setattr(tempfile, "gettempdir", full)
    assert rescue_folders() == (recordings(), own)
    assert join_rests() == ""
