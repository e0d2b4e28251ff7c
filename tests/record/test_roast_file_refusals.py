"""A file that is no roast file is refused with one sentence: what, where, what to do."""

from __future__ import annotations

import os
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from roastside.core.errors import RecordError
from roastside.record.head import LONGEST_LINE_BYTES
from roastside.record.reader import LARGEST_BYTES, RowReader, read_roast_file

NOBODY = 65534


needs_posix = pytest.mark.skipif(os.name != "posix", reason="POSIX files and users")


@contextmanager
def without_privileges() -> Iterator[None]:
    """Root may read everything, so it steps down for a while."""
    was = os.geteuid()
    if was == 0:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(was)


def refusal(path: Path) -> str:
    with pytest.raises(RecordError) as caught:
        read_roast_file(path)
    message = str(caught.value)
    assert "\n" not in message
    assert message.endswith(".")
    assert path.name in message
    return message


@pytest.mark.parametrize(
    ("data", "line", "reason"),
    [
        (b"", 1, "is empty"),
        (b"time_s,bea", 1, "ends before any column names"),
        (b"# roastside roast file 1\n# title: x\n", 2, "ends before any column names"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 1, "not UTF-8 text"),
        (b"\x1f\x8b\x08\0\0\0\0", 1, "not UTF-8 text"),
        ("# title: x\ntime_s,bean_c\n".encode("utf-16"), 1, "not UTF-8 text"),
        ("# title: x\n# coffee: café\n".encode("latin-1"), 2, "not UTF-8 text"),
        (b"# title: x\n\nhello there\n", 3, "no column name time_s"),
        (b"\x01\n", 1, "no column name time_s"),
        (b"time_s;bean_c\n1;200\n", 1, "semicolons where commas should be"),
        (b"time_s,air_c\n", 1, "neither a column bean_c nor a column mark"),
        (b"time_s,bean_c,bean_c\n", 1, "column bean_c is there twice"),
        (b"time_s,bean_c\r0,200\r1,201\r", 1, "ends before any column names"),
        (b"# roastside roast file 2\n", 1, "version 2"),
        (b"x" * (LONGEST_LINE_BYTES + 1), 1, "longer than 64 KiB"),
    ],
)
def test_what_is_no_roast_file_is_refused_with_file_line_and_reason(
    tmp_path: Path, data: bytes, line: int, reason: str
) -> None:
    path = tmp_path / "lunch.csv"
    path.write_bytes(data)
    message = refusal(path)
    assert f"lunch.csv, line {line}: " in message
    assert reason in message


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    assert "is not there" in refusal(tmp_path / "lost.csv")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert "is a folder" in refusal(tmp_path)


@needs_posix
def test_a_pipe_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert "not an ordinary file" in refusal(path)


def test_an_impossible_name_is_refused() -> None:
    with pytest.raises(RecordError, match="cannot be read"):
        read_roast_file("a\0b.csv")


@needs_posix
def test_a_file_one_may_not_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "secret.csv"
    path.write_text("time_s,bean_c\n")
    path.chmod(0)
    with without_privileges():
        assert "may not be read" in refusal(path)


def test_escape_sequences_in_a_file_name_do_not_reach_the_terminal(tmp_path: Path) -> None:
    with pytest.raises(RecordError) as caught:
        read_roast_file(tmp_path / "a\x1b[31mred.csv")
    assert "ared.csv" in str(caught.value)


def test_a_file_too_large_for_a_roast_is_refused_by_its_size(tmp_path: Path) -> None:
    path = tmp_path / "film.csv"
    path.write_bytes(b"time_s,bean_c\n")
    os.truncate(path, LARGEST_BYTES + 1)
    assert "larger than 50 MiB" in refusal(path)


def test_a_file_that_grows_too_large_is_refused() -> None:
    reader = RowReader("film.csv")
    reader.feed(b"time_s,bean_c\n")
    noise = b"x" * 1024**2
    with pytest.raises(RecordError, match=r"^film\.csv.*larger than 50 MiB"):
        for _ in range(50):
            reader.feed(noise)


def test_binary_data_is_refused_before_its_first_line_ends() -> None:
    with pytest.raises(RecordError, match="not UTF-8 text"):
        RowReader().feed(b"\0")


def test_a_line_without_end_is_held_in_bounded_memory() -> None:
    reader = RowReader()
    reader.feed(b"time_s,bean_c\n1,200\n")
    piece = b"x" * LONGEST_LINE_BYTES
    tracemalloc.start()
    for _ in range(100):
        reader.feed(piece)
    _, most_bytes = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most_bytes < 10 * LONGEST_LINE_BYTES
    assert reader.feed(b"\n2,201\n")[0].bean_c == 201.0
    assert reader.skipped == 1
