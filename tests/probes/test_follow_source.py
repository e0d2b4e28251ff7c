"""Following a roast file while another program writes it."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.errors import RecordError
from roastside.core.readings import Item, Mark, Outage, Reading
from roastside.probes.follow import LAG_S, PIECE_BYTES, POLL_S, FollowSource
from tests.probes.roast_text import EXPECTED, HEAD, ROWS, TEXT
from tests.probes.waiting import read_until
from tests.probes.wall_time import WallTime


class Growing:
    """A file in another program's hands, followed in a time that only sleeping passes."""

    def __init__(self, path: Path, text: str) -> None:
        self.path = path
        self.path.write_text(text)
        self.time = WallTime()
        self.source = FollowSource(path, self.time.monotonic, self.time.sleep)

    def append(self, text: str) -> None:
        with self.path.open("a") as file:
            file.write(text)

    def read(self) -> list[Item]:
        return self.source.read(POLL_S)


@pytest.fixture
def grown(tmp_path: Path) -> Growing:
    growing = Growing(tmp_path / "roast.csv", TEXT)
    growing.source.open()
    assert growing.read() == EXPECTED
    return growing


def test_every_row_comes_once_as_it_is_appended(tmp_path: Path) -> None:
    growing = Growing(tmp_path / "roast.csv", HEAD)
    growing.source.open()
    assert growing.source.header["title"] == "Harbour Street test batch"
    assert growing.read() == []
    items: list[Item] = []
    for row in ROWS:
        growing.append(row)
        items += growing.read()
        assert growing.read() == []
    assert items == EXPECTED
    assert not growing.source.ended


def test_a_torn_line_waits_until_it_is_whole(grown: Growing) -> None:
    for piece in ("16.0", "0,140.25,2", "26.00,,", ","):
        grown.append(piece)
        assert grown.read() == []
    grown.append("\n16.50,1")
    assert grown.read() == [Reading(16.0, 140.25, 226.0)]
    grown.append("39.00,226.00,,,\n")
    assert grown.read() == [Reading(16.5, 139.0, 226.0)]


def test_a_read_waits_in_short_steps_and_not_past_its_time(grown: Growing) -> None:
    assert grown.source.read(1.0) == []
    assert sum(grown.time.slept) == pytest.approx(1.0)
    assert max(grown.time.slept) <= POLL_S


def test_the_clock_stands_at_the_newest_row_and_moves_on_in_silence(grown: Growing) -> None:
    assert grown.source.now_s() == 15.0
    grown.time.now += LAG_S
    assert grown.source.now_s() == 15.0
    grown.time.now += 4.0
    assert grown.source.now_s() == 19.0
    grown.append("17.00,140.00,226.00,,,\n")
    assert grown.read() == [Reading(17.0, 140.0, 226.0)]
    assert grown.source.now_s() == 19.0
    grown.append("25.00,140.00,226.00,,,\n")
    grown.read()
    assert grown.source.now_s() == 25.0


def test_a_deleted_file_is_one_outage_and_its_return_heals(grown: Growing) -> None:
    text = grown.path.read_text()
    grown.path.unlink()
    (outage,) = grown.read()
    assert isinstance(outage, Outage)
    assert outage.reason == f"{grown.path} cannot be read (No such file or directory)"
    assert grown.read() == []
    assert not grown.source.ended
    grown.path.write_text(text + "16.00,140.25,226.00,,,\n")
    assert grown.read() == [Reading(16.0, 140.25, 226.0)]
    grown.path.unlink()
    assert [type(item) for item in grown.read()] == [Outage]


def test_a_longer_copy_put_in_its_place_is_read_on_without_a_word(grown: Growing) -> None:
    copy = grown.path.with_suffix(".new")
    copy.write_text(TEXT + "16.00,,,first_crack,,\n")
    copy.replace(grown.path)
    (mark,) = grown.read()
    assert isinstance(mark, Mark)
    assert mark.mark == "first_crack"


def test_a_file_that_became_shorter_is_one_outage_and_waited_for(grown: Growing) -> None:
    grown.path.write_text(TEXT[:-20])
    (outage,) = grown.read()
    assert isinstance(outage, Outage)
    assert outage.reason == f"{grown.path} became shorter"
    assert grown.read() == []
    grown.append(TEXT[-20:])
    assert grown.read() == []
    grown.append("16.00,140.25,226.00,,,\n")
    assert grown.read() == [Reading(16.0, 140.25, 226.0)]


def test_another_recording_in_its_place_ends_the_stream(grown: Growing) -> None:
    grown.path.write_text(HEAD.replace("test batch", "second batch"))
    (outage,) = grown.read()
    assert isinstance(outage, Outage)
    assert outage.reason == f"{grown.path} holds another recording now"
    assert grown.source.ended
    assert grown.read() == []


def test_what_cannot_be_followed_is_refused_at_opening(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match=r"cannot be read .*; check the name of the file\."):
        FollowSource(tmp_path / "nothing.csv").open()
    with pytest.raises(RecordError, match=r"is not an ordinary file; choose a roast file\."):
        FollowSource(tmp_path).open()


def test_a_long_recording_is_caught_up_with_to_the_last_row(tmp_path: Path) -> None:
    count = 3 * PIECE_BYTES // 20
    rows = "".join(f"{k / 10:.2f},{20 + k % 200}.25,228.50,,,\n" for k in range(count))
    growing = Growing(tmp_path / "roast.csv", HEAD + rows)
    growing.source.open()
    items: list[Item] = []
    while more := growing.read():
        items += more
    assert len(items) == count
    assert growing.source.now_s() == items[-1].time_s


def test_what_is_no_roast_file_is_refused_at_opening_or_as_soon_as_it_shows(
    tmp_path: Path,
) -> None:
    letter = Growing(tmp_path / "letter.txt", "Dear Sir,\nthank you\n")
    with pytest.raises(RecordError):
        letter.source.open()
    empty = Growing(tmp_path / "empty.csv", "")
    empty.source.open()
    assert empty.read() == []
    empty.append("Dear Sir,\nthank you\n")
    with pytest.raises(RecordError):
        empty.read()


def test_a_real_file_is_followed_in_real_time(tmp_path: Path) -> None:
    growing = Growing(tmp_path / "roast.csv", HEAD)
    source = FollowSource(growing.path)
    source.open()
    pieces = iter(ROWS)
    items = read_until(
        source,
        lambda got: len(got) == len(EXPECTED),
        "all rows",
        lambda: growing.append(next(pieces, "")),
    )
    assert items == EXPECTED
