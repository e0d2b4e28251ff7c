"""Files of other loggers become recordings, each once; what is refused says why."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from roastside.book.roasts import roasts
from roastside.book.store import Book
from roastside.core.readings import MarkName
from roastside.desk.asking import ask_layout
from roastside.desk.importing import Proposal, import_files, propose
from roastside.desk.layout import Layout, parse_map
from roastside.desk.progress import ProgressBar
from roastside.record.reader import read_roast_file
from tests.desk import tables
from tests.live.running import HOUSE, run, run_here

WRITTEN_AT = 1_772_700_000.0


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    with Book.open(tmp_path / "home") as opened:
        yield opened


def put(folder: Path, name: str, data: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    os.utime(path, (WRITTEN_AT, WRITTEN_AT))
    return path


def test_a_table_becomes_a_recording_that_the_book_knows(book: Book, tmp_path: Path) -> None:
    path = put(tmp_path, "Fenmoor washed.csv", tables.semicolons())
    report = import_files(book, [path])
    assert not report.refused
    taken = report.taken[0]
    assert taken.readings == len(tables.points())
    file = read_roast_file(taken.recording)
    assert file.header["title"] == "Fenmoor washed"
    assert file.header["imported_from"] == "Fenmoor washed.csv"
    assert file.header["started_at"].startswith("2026-03-04T07:28:09")
    assert set(file.marks()) == {MarkName.CHARGE, MarkName.DROP}
    roast = roasts(book)[0]
    assert (roast.title, roast.file) == (file.title, f"recordings/{taken.recording.name}")
    assert roast.drop_c == pytest.approx(205.5, abs=1.0)


def test_without_a_clock_a_roast_ended_when_its_file_was_written(
    book: Book, tmp_path: Path
) -> None:
    path = put(tmp_path, "a.csv", tables.seconds_table())
    taken = import_files(book, [path]).taken[0]
    lasted_s = tables.points()[-1][0]
    began = read_roast_file(taken.recording).header["started_at"]
    assert roasts(book)[0].started_at == began
    assert datetime.fromisoformat(began).timestamp() == pytest.approx(
        WRITTEN_AT - lasted_s, abs=1.0
    )


def test_the_same_file_is_not_taken_in_twice_under_any_name(book: Book, tmp_path: Path) -> None:
    first = put(tmp_path, "a.csv", tables.seconds_table())
    again = put(tmp_path, "b.csv", tables.seconds_table())
    report = import_files(book, [first, again])
    assert [len(report.taken), len(report.refused)] == [1, 1]
    assert "already" in report.refused[0].reason
    assert "already" in import_files(book, [first]).refused[0].reason


def test_a_roast_file_is_taken_as_it_is_and_once(book: Book, tmp_path: Path) -> None:
    report = import_files(book, [HOUSE, HOUSE])
    assert report.taken[0].recording.read_bytes() == HOUSE.read_bytes()
    assert "already" in report.refused[0].reason


def test_one_bad_file_does_not_hold_up_the_others(book: Book, tmp_path: Path) -> None:
    paths = [
        put(tmp_path, "junk.csv", "no table"),
        tmp_path / "gone.csv",
        tmp_path,
        put(tmp_path, "good.csv", tables.seconds_table()),
    ]
    seen: list[tuple[int, int, str]] = []
    report = import_files(book, paths, progress=lambda *told: seen.append(told))
    assert [taken.source for taken in report.taken] == paths[3:]
    assert [refused.source for refused in report.refused] == paths[:3]
    assert seen[0] == (0, 4, "junk.csv")
    assert seen[-1] == (4, 4, "")


def test_an_unclear_layout_is_refused_with_the_map_that_would_tell_it(
    book: Book, tmp_path: Path
) -> None:
    path = put(tmp_path, "a.csv", tables.milliseconds_without_names())
    reason = import_files(book, [path]).refused[0].reason
    told = parse_map(reason.partition("--map '")[2].rstrip("'"))
    assert import_files(book, [path], told).taken


def test_an_unclear_layout_is_asked_for_once_and_remembered(book: Book, tmp_path: Path) -> None:
    text = tables.milliseconds_without_names()
    more = [f"{747_000 + n},{350 + n}.0,{300 + n}.0\n" for n in range(4)]
    paths = [put(tmp_path, f"{n}.csv", text + more[n]) for n in range(4)]
    asked: list[Path] = []

    def ask(proposal: Proposal) -> Layout:
        asked.append(proposal.path)
        return proposal.layout

    assert len(import_files(book, paths[:2], ask=ask).taken) == 2
    assert asked == paths[:1]
    assert len(import_files(book, paths[2:3]).taken) == 1, "the book remembers"
    with Book.open(book.home, write=False) as reader:
        assert propose(paths[3]).unclear, "without the book nobody knows"
        assert len(import_files(reader, paths[3:]).taken) == 1


def test_what_is_told_of_the_bean_settles_the_other_probe(tmp_path: Path) -> None:
    path = put(tmp_path, "a.csv", tables.milliseconds_without_names())
    proposal = propose(path, parse_map("bean=Temp 1"))
    assert (proposal.layout.bean, proposal.layout.air) == ("Temp 1", "Temp 2")
    assert proposal.unclear == ()


def test_a_book_that_another_writes_does_not_hold_up_the_files(book: Book, tmp_path: Path) -> None:
    path = put(tmp_path, "a.csv", tables.seconds_table())
    done = run("import", path, home=book.home)
    assert done.code == 0
    assert "1 of 1 file taken in" in done.out
    assert "another roastside" in done.sentence
    assert list((book.home / "recordings").glob("*.csv"))


def test_questions_are_plain_and_go_on_until_the_answer_fits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = put(tmp_path, "a.csv", tables.milliseconds_without_names())
    proposal = propose(path)
    answers = iter(["9", "2", "0"])
    asked: list[str] = []

    def reply(question: str) -> str:
        asked.append(question)
        return next(answers)

    layout = ask_layout(proposal, reply)
    assert (layout.bean, layout.air) == ("Temp 1", "")
    assert asked[0] == asked[1] == "Which column is the bean temperature? [3] "
    said = capsys.readouterr().err
    assert "3  Temp 2:" in said
    assert "Type a number from 1 to 3." in said
    assert ask_layout(proposal, lambda _: "") == proposal.layout, "Enter takes what is proposed"


class Screen(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_bar_shows_how_far_it_is_on_a_terminal_only() -> None:
    screen, file = Screen(), io.StringIO()
    for to in (screen, file):
        bar = ProgressBar(to)
        bar(3, 12, "a\x1b[2Jb.csv")
        bar(12, 12, "")
    assert "3 of 12  ab.csv" in screen.getvalue()
    assert screen.getvalue().endswith("\r\x1b[K")
    assert file.getvalue() == ""


def test_the_command_tells_what_became_of_each_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    good = put(tmp_path, "good.csv", tables.tabs_in_utf_16())
    text = tables.seconds_table()
    back = put(tmp_path, "back.csv", text + text.partition("\n")[2])
    done = run_here(
        "import",
        good,
        back,
        "--date",
        "2026-05-01T07:30",
        home=tmp_path / "home",
        patch=monkeypatch,
        streams=capfd,
    )
    assert done.code == 2
    assert "1 of 2 files taken in." in done.out
    assert "good.csv is 2026-05-01 07.30.00.csv: 747 readings, first crack, charge" in done.out
    assert f"back.csv, line {len(text.splitlines()) + 1}: the time goes back" in done.out
    bad = run_here(
        "import", good, "--date", "May", home=tmp_path / "h", patch=monkeypatch, streams=capfd
    )
    assert bad.code == 2
    assert "--date" in bad.sentence
