"""What cannot begin: one sentence on stderr, nothing on stdout, and the exit code of contract 4."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.live.running import HOUSE, Done, Running, beans_c, posix_only, run, run_here

HUGE_BYTES = 200_000_000


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


@pytest.fixture
def here(
    home: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., Done]:
    """Runs a command that ends at once."""
    return partial(run_here, home=home, patch=monkeypatch, streams=capfd)


def huge(file: Path) -> None:
    with file.open("wb") as sparse:
        sparse.truncate(HUGE_BYTES)


def huge_roast(file: Path) -> None:
    with file.open("wb") as sparse:
        sparse.write(HOUSE.read_bytes())
        sparse.truncate(HUGE_BYTES)


Spoil = tuple[Callable[[Path], object], str]
"""What makes a file bad, and words of the reason that is given, parted by `|`."""

BAD_FILES: dict[str, Spoil] = {
    "missing": (lambda file: None, "not there|cannot be read"),
    "a folder": (Path.mkdir, "a folder|not an ordinary file"),
    "binary": (lambda file: file.write_bytes(bytes(range(256)) * 40), "not UTF-8 text"),
    "of other columns": (lambda file: file.write_text("time,temp\n1,2\n"), "time_s"),
    "without temperatures": (lambda file: file.write_text("time_s,air_c\n1,2\n"), "bean_c"),
    "huge": (huge, "larger than|not UTF-8 text"),
}
WHOLE_ONLY: dict[str, Spoil] = {
    "empty": (Path.touch, "is empty"),
    "cut in its head": (lambda file: file.write_bytes(HOUSE.read_bytes()[:200]), "column names"),
    "a roast and then huge": (huge_roast, "larger than"),
}
"""For a file that grows these are only a beginning."""


@pytest.mark.parametrize("as_reference", [False, True], ids=["replay", "reference"])
@pytest.mark.parametrize("bad", BAD_FILES | WHOLE_ONLY)
def test_a_file_that_is_no_roast_file_is_not_replayed(
    bad: str, as_reference: bool, tmp_path: Path, here: Callable[..., Done]
) -> None:
    file = tmp_path / "bad.csv"
    spoil, reason = (BAD_FILES | WHOLE_ONLY)[bad]
    spoil(file)
    files = (HOUSE, "--reference", file) if as_reference else (file,)
    done = here("replay", *files, "--events")
    assert (done.code, done.out) == (2, "")
    assert any(words in done.sentence for words in reason.split("|")), done.sentence
    assert "bad.csv" in done.sentence


@pytest.mark.parametrize("bad", BAD_FILES)
def test_a_file_that_cannot_become_a_roast_file_is_not_followed(
    bad: str, tmp_path: Path, home: Path
) -> None:
    file = tmp_path / "bad.csv"
    spoil, reason = BAD_FILES[bad]
    spoil(file)
    done = run("follow", file, "--events", home=home)
    assert (done.code, done.out) == (2, "")
    assert any(words in done.sentence for words in reason.split("|")), done.sentence


def test_a_roast_without_a_charge_is_no_reference(
    tmp_path: Path, here: Callable[..., Done]
) -> None:
    file = tmp_path / "no-charge.csv"
    file.write_text("# title: House v9\ntime_s,bean_c,mark\n0,200,\n1,200,\n2,200,drop\n")
    done = here("replay", HOUSE, "--reference", file, "--events")
    assert (done.code, done.out) == (2, "")
    assert "charge" in done.sentence
    assert "House v9" in done.sentence


def test_a_refusal_ends_the_program_itself_without_a_traceback(home: Path) -> None:
    done = run("replay", "no-such-file.csv", "--events", home=home)
    assert (done.code, done.out) == (2, "")
    assert "no-such-file.csv" in done.sentence


def test_a_file_cut_in_a_row_is_replayed_as_far_as_it_is_whole(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "cut.csv"
    head, _, rows = HOUSE.read_text("utf-8").partition("note\n")
    file.write_text(head + "note\n" + "".join(rows.splitlines(keepends=True)[:20]) + "10.0,20")
    done = run("replay", file, "--events", home=home)
    assert (done.code, done.err) == (0, "")
    assert len(beans_c(done.events)) == 20


BAD_USAGE = {
    "an unknown option": (("replay", HOUSE, "--louder"), "--louder"),
    "an unknown command": (("roast", HOUSE), "roast"),
    "no file": (("replay",), "FILE"),
    "no port": (("listen",), "--port"),
    "a tolerance of words": (("replay", HOUSE, "--tolerance", "wide"), "'wide'"),
    "a tolerance below zero": (("replay", HOUSE, "--tolerance", "-1"), "'-1'"),
    "a speed of zero": (("replay", HOUSE, "--speed", "0"), "'0'"),
    "a speed that is no number": (("replay", HOUSE, "--speed", "nan"), "'nan'"),
    "an impossible baud": (("listen", "--port", "x", "--baud", "1e99"), "'1e99'"),
    "a development of words": (("replay", HOUSE, "--development", "long"), "'long'"),
    "an unknown wire": (("listen", "--port", "x", "--wire", "morse"), "morse"),
    "a wire of odd fields": (("listen", "--port", "x", "--wire", "lines:bean=0"), "bean"),
    "escapes and line ends": (("replay", HOUSE, "--x\x1b[31m\nroastside: "), "--x"),
}


@pytest.mark.parametrize(("arguments", "words"), BAD_USAGE.values(), ids=BAD_USAGE)
def test_bad_usage_ends_with_exit_2(
    arguments: tuple[object, ...], words: str, here: Callable[..., Done]
) -> None:
    done = here(*arguments, "--events")
    assert (done.code, done.out) == (2, "")
    assert words in done.sentence
    assert "\x1b" not in done.err


UNREACHABLE = {
    "a port that is not there": ("no-such-port", "no port|not there"),
    "a file": (HOUSE, "not a serial port"),
    "an address nobody answers": ("socket://127.0.0.1:9", "Nothing answers"),
    "half an address": ("socket://somewhere", "not complete"),
}


@posix_only
@pytest.mark.parametrize(("port", "words"), UNREACHABLE.values(), ids=UNREACHABLE)
def test_a_probe_that_cannot_be_reached_ends_with_exit_3_and_makes_no_recording(
    port: object, words: str, tmp_path: Path, here: Callable[..., Done]
) -> None:
    file = tmp_path / "batch.csv"
    done = here("listen", "--port", port, "--record", file, "--events")
    assert (done.code, done.out) == (3, "")
    assert any(each in done.sentence for each in words.split("|"))
    assert not file.exists()


def test_where_a_recording_cannot_be_stored_it_ends_with_exit_4(
    line: VirtualLine, tmp_path: Path, here: Callable[..., Done]
) -> None:
    kept = tmp_path / "kept.csv"
    kept.write_bytes(HOUSE.read_bytes())
    places = [
        (kept, "already holds something"),
        (tmp_path / "no-such-folder" / "batch.csv", "folder is not there"),
        (tmp_path, "not an ordinary file"),
    ]
    if sys.platform != "win32":
        places.append((Path("/dev/full"), "not an ordinary file"))
    for place, words in places:
        done = here("listen", "--port", line.port, "--record", place, "--events")
        assert (done.code, done.out) == (4, ""), place
        assert words in done.sentence
    assert kept.read_bytes() == HOUSE.read_bytes()


@posix_only
def test_two_roasts_cannot_share_a_recording(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    with virtual_line() as one, virtual_line() as other:
        command = ("listen", "--record", file, "--events", "--port")
        with Running(*command, one.port, home=home) as roast:
            roast.wake(one)
            done = run(*command, other.port, home=home)
            assert roast.end().code == 0
    assert (done.code, done.out) == (4, "")
    assert "another roastside" in done.sentence


@posix_only
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_events_that_cannot_be_written_end_a_replay_with_a_sentence(home: Path) -> None:
    done = run("replay", HOUSE, "--events", home=home, closed=">/dev/full")
    assert done.code == 4
    assert os.strerror(28) in done.sentence


@posix_only
def test_without_a_standard_output_there_are_no_events(home: Path) -> None:
    done = run("replay", HOUSE, "--events", home=home, closed=">&-")
    assert done.code == 2
    assert "standard output" in done.sentence


@posix_only
def test_a_reader_who_takes_one_line_ends_a_replay_quietly(home: Path) -> None:
    done = run("replay", HOUSE, "--events", home=home, closed="| head -n 1")
    assert (done.code, done.err) == (0, "")
    assert len(done.events) == 1
