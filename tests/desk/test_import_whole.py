"""An import that is killed, or does not come alone, leaves whole roasts and each only once."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from roastside.book.store import Book
from roastside.desk.importing import import_files
from roastside.desk.written import PART, PART_BEGINS
from roastside.record.reader import read_roast_file
from tests.desk import tables
from tests.live.running import posix_only, run_here

KILLED = """
import os, signal, sys
from roastside.cli import main
from roastside.record import disk

def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)

def half(fd, data, write=disk.write_all):
    write(fd, data[: len(data) // 2])
    die()

place, *words = sys.argv[1:]
setattr(disk, place, half if place == "write_all" else die)
raise SystemExit(main(words))
"""


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def put(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@posix_only
@pytest.mark.parametrize("place", ["write_all", "sync", "move_to_free_name", "sync_folder"])
def test_a_killed_import_leaves_no_torn_roast(home: Path, tmp_path: Path, place: str) -> None:
    path = put(tmp_path, "a.csv", tables.seconds_table())
    killed = subprocess.run([sys.executable, "-c", KILLED, place, "import", str(path)], check=False)
    assert killed.returncode == -signal.SIGKILL
    for whole in (home / "recordings").glob("*.csv"):
        assert place == "sync_folder"
        assert len(read_roast_file(whole).rows) > len(tables.points())
    with Book.open(home) as book:
        import_files(book, [path])
    [roast] = (home / "recordings").iterdir()
    assert roast.suffix == ".csv"


def test_what_a_killed_import_left_is_removed_and_nothing_else(home: Path, tmp_path: Path) -> None:
    (home / "recordings").mkdir(parents=True)
    left = put(home / "recordings", f"{PART_BEGINS}0a1b{PART}", "half")
    other = put(home / "recordings", ".other.part", "of somebody else")
    with Book.open(home) as book:
        import_files(book, [put(tmp_path, "a.csv", tables.seconds_table())])
    assert not left.exists()
    assert other.exists()


def test_two_imports_at_once_take_each_roast_once(home: Path, tmp_path: Path) -> None:
    text = tables.seconds_table()
    paths = [put(tmp_path, f"{n}.csv", f"{text}{747 + n}.0,150.0,150.0\n") for n in range(6)]
    with Book.open(home):
        pass  # the book is there, so that either can read it whoever writes it
    words = [sys.executable, "-m", "roastside", "import"]
    both = [
        subprocess.Popen(
            [*words, *map(str, order)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        for order in (paths, paths[::-1])
    ]
    said = [each.communicate(timeout=120)[0] for each in both]
    assert sum(each.count(" is 20") for each in said) == len(paths)
    assert len(list((home / "recordings").glob("*.csv"))) == len(paths)
    assert sum(each.count("already") for each in said) == len(paths)


def test_the_same_roast_in_other_signs_is_told_of_and_not_doubled(
    home: Path, tmp_path: Path
) -> None:
    text = tables.seconds_table()
    other = text.replace(",", ";").replace(".", ",")
    paths = [put(tmp_path, "comma.csv", text), put(tmp_path, "semicolon.csv", other)]
    with Book.open(home) as book:
        report = import_files(book, paths)
        assert len(report.taken) == 1
        assert "written in another way, is there already" in report.refused[0].reason
        again = import_files(book, paths)
    assert (len(again.taken), len(again.refused)) == (0, 2)
    assert len(list((home / "recordings").glob("*.csv"))) == 1


def test_a_roast_file_is_taken_once_although_the_book_cannot_be_changed(home: Path) -> None:
    with Book.open(home):
        pass
    with Book.open(home, write=False) as reader:
        assert import_files(reader, [tables.GOOD]).taken
        assert "already" in import_files(reader, [tables.GOOD]).refused[0].reason


def test_what_was_told_of_one_unit_is_not_taken_for_another(home: Path, tmp_path: Path) -> None:
    names = "Time (s),Temp 1,Temp 2\n"
    warm = [f"{s:.1f},{bean:.2f},{air:.2f}\n" for s, bean, air in tables.points()]
    hot = [
        f"{s:.1f},{tables.fahrenheit(bean):.2f},{tables.fahrenheit(air):.2f}\n"
        for s, bean, air in tables.points()
    ]
    first = put(tmp_path, "a.csv", names + "".join(warm))
    more = put(tmp_path, "b.csv", names + "".join(warm[:-1]))
    other = put(tmp_path, "c.csv", names + "".join(hot[:-2]))
    with Book.open(home) as book:
        assert import_files(book, [first], {"bean": "Temp 1", "air": "Temp 2"}).taken
        same = import_files(book, [more]).taken[0]
        assert "bean=Temp 1" in same.remembered, "what is remembered is told of"
        assert "not clear" in import_files(book, [other]).refused[0].reason


def test_columns_without_names_are_not_remembered_for_another_day(
    home: Path, tmp_path: Path
) -> None:
    rows = [f"{s:.1f},{bean:.2f},{air:.2f}\n" for s, bean, air in tables.points()]
    paths = [put(tmp_path, f"{n}.csv", "".join(rows[n:])) for n in range(3)]
    told = {"time": "1", "bean": "2", "air": "3", "time_unit": "s"}
    with Book.open(home) as book:
        assert len(import_files(book, paths[:2], told).taken) == 2
        assert import_files(book, paths[2:]).refused


def test_a_name_that_is_taken_meanwhile_is_not_written_over(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from roastside.desk.written import write_new

    taken = put(tmp_path, "a.csv", "a roast")
    names = iter([taken, tmp_path / "a (2).csv"])
    assert write_new(b"another", lambda: next(names)) == tmp_path / "a (2).csv"
    assert taken.read_text() == "a roast"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a (2).csv", "a.csv"]


def test_export_takes_in_what_is_new_and_says_so_if_it_cannot(
    home: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (home / "recordings").mkdir(parents=True)
    (home / "recordings" / "a.csv").write_bytes(tables.GOOD.read_bytes())
    words = ("export", "figures", tmp_path / "f.csv")
    done = run_here(*words, home=home, patch=monkeypatch, streams=capfd)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("1 roast written"), "the book was made, and took it in"
    with Book.open(home):
        busy = run_here(*words, home=home, patch=monkeypatch, streams=capfd)
    assert busy.code == 0
    assert "newest roasts may be missing, as another roastside has the book open" in busy.sentence
