"""Taking recordings into the book: known again, told in figures, refused in sentences."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.book.filters import condition
from roastside.book.intake import take_in, take_in_all
from roastside.book.roasts import count_roasts, roast_in, roast_of, roasts
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError, RecordError
from roastside.core.readings import Reading
from roastside.record.facts import append_fact
from roastside.record.recorder import Recorder
from tests.book.homes import GOOD, home_of, roast_text, write_roast, write_version


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return home_of(tmp_path)


@pytest.fixture
def book(home: Path) -> Iterator[Book]:
    with Book.open(home) as opened:
        yield opened


def only(book: Book) -> Roast:
    found = roasts(book)
    assert len(found) == 1
    return found[0]


def test_a_recording_is_taken_in_with_all_it_tells(book: Book, home: Path) -> None:
    path = write_roast(
        home, lot="2026-A", roasted_weight_g="1281", roasted_by="Ines", colour="98.5",
        verdict="Good", cup_score="84.5", remarks="sweet, long", settled="yes",
    )  # fmt: skip
    found = roast_of(book, take_in(book, path))
    assert (found.file, found.title) == ("recordings/a.csv", "House espresso, batch 12")
    assert (found.coffee, found.lot, found.roasted_by) == ("House espresso", "2026-A", "Ines")
    assert found.started_at == "2026-03-04T07:28:09+01:00"
    assert found.started_utc == "2026-03-04T06:28:09+00:00"
    assert (found.charge_weight_g, found.roasted_weight_g) == (1500.0, 1281.0)
    assert found.loss == pytest.approx(0.146)
    assert (found.colour, found.verdict, found.cup_score) == (98.5, "good", 84.5)
    assert (found.remarks, found.settled) == ("sweet, long", True)
    assert (found.reference_title, found.version_id) == ("House espresso v3", None)
    assert (found.total_s, found.development_s, found.readings) == (600.0, 120.0, 1300)
    assert found.drop_c == pytest.approx(188.0, abs=0.05)


def test_what_makes_no_sense_in_a_header_is_not_known(book: Book, home: Path) -> None:
    path = write_roast(
        home, charge_weight_g="1.5 kg", roasted_weight_g="-3", colour="nan", cup_score="inf",
        verdict="superb", settled="maybe", started_at="on Tuesday", coffee="", lot="2026-A",
    )  # fmt: skip
    found = roast_of(book, take_in(book, path))
    unknown = (found.charge_weight_g, found.roasted_weight_g, found.loss, found.colour)
    assert unknown == (None, None, None, None)
    assert (found.cup_score, found.verdict, found.settled) == (None, "", False)
    assert (found.started_at, found.started_utc) == (None, None)
    assert (found.coffee_id, found.lot_id) == (None, None), "a lot is one of some coffee"


@pytest.mark.parametrize("moment", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"])
def test_a_moment_before_or_after_all_time_is_not_known(
    moment: str, book: Book, home: Path
) -> None:
    assert roast_of(book, take_in(book, write_roast(home, started_at=moment))).started_utc is None


def test_a_bare_table_is_a_roast_called_by_its_file(book: Book, home: Path) -> None:
    path = write_roast(home, "from elsewhere.csv", "time_s,bean_c\n0,200\n1,199\n")
    found = roast_of(book, take_in(book, path))
    assert (found.title, found.readings, found.total_s) == ("from elsewhere", 2, None)


def test_taking_in_again_changes_nothing(book: Book, home: Path) -> None:
    path = write_roast(home)
    first = take_in(book, path)
    before = roast_of(book, first)
    assert take_in(book, path) == first
    assert only(book) == before
    again = take_in_all(book)
    assert (again.new, again.changed, again.unchanged, again.roasts) == (0, 0, 1, 1)


def test_a_fact_added_later_is_taken_in(book: Book, home: Path) -> None:
    path = write_roast(home)
    first = take_in(book, path)
    append_fact(path, "roasted_weight_g", "1290")
    append_fact(path, "verdict", "fair")
    assert take_in(book, path) == first
    assert (only(book).loss, only(book).verdict) == (pytest.approx(0.14), "fair")
    append_fact(path, "verdict", "")
    outcome = take_in_all(book)
    assert (outcome.new, outcome.changed, only(book).verdict) == (0, 1, "")


def test_a_recording_that_was_moved_is_known_again(book: Book, home: Path) -> None:
    path = write_roast(home)
    first = take_in(book, path)
    path.rename(home / "recordings" / "renamed.csv")
    append_fact(home / "recordings" / "renamed.csv", "verdict", "good")
    outcome = take_in_all(book)
    assert (outcome.new, outcome.changed, outcome.gone) == (0, 1, 0)
    assert (only(book).id, only(book).file) == (first, "recordings/renamed.csv")
    assert only(book).verdict == "good"


def test_a_copy_is_a_roast_of_its_own(book: Book, home: Path) -> None:
    path = write_roast(home)
    take_in(book, path)
    shutil.copy(path, home / "recordings" / "copy.csv")
    assert take_in_all(book).roasts == 2


def test_what_is_gone_from_the_folder_goes_from_the_book(book: Book, home: Path) -> None:
    kept, gone = write_roast(home, "kept.csv"), write_roast(home, "gone.csv", title="gone")
    take_in_all(book)
    gone.unlink()
    outcome = take_in_all(book)
    assert (outcome.gone, only(book).file) == (1, book.named(kept))


def test_nothing_is_given_up_while_the_whole_folder_is_missing(book: Book, home: Path) -> None:
    write_roast(home)
    take_in_all(book)
    (home / "recordings").rename(home / "elsewhere")
    outcome = take_in_all(book)
    assert (outcome.gone, outcome.roasts, list(outcome.missing)) == (0, 1, ["recordings"])
    (home / "elsewhere").rename(home / "recordings")
    assert take_in_all(book).unchanged == 1


def test_a_new_home_without_folders_is_nothing_strange(tmp_path: Path) -> None:
    with Book.open(tmp_path) as book:
        outcome = take_in_all(book)
    assert (outcome.roasts, outcome.missing) == (0, {})


def test_what_is_no_roast_is_refused_and_listed_until_it_is_one(book: Book, home: Path) -> None:
    write_roast(home, "good.csv")
    bad = write_roast(home, "bad.csv", "time,temp\n1,2\n")
    (home / "recordings" / "notes.txt").write_text("no roast")
    outcome = take_in_all(book)
    assert (outcome.new, outcome.roasts, list(outcome.refused)) == (1, 1, ["recordings/bad.csv"])
    assert "time_s" in outcome.refused["recordings/bad.csv"]
    again = take_in_all(book)
    assert (again.refused, again.unchanged) == (outcome.refused, 2)
    with pytest.raises(RecordError, match="time_s"):
        take_in(book, bad)
    bad.write_text(roast_text())
    mended = take_in_all(book)
    assert (mended.new, mended.refused, mended.roasts) == (1, {}, 2)


def test_a_roast_that_is_spoiled_later_is_refused_and_leaves_the_book(
    book: Book, home: Path
) -> None:
    path = write_roast(home)
    take_in_all(book)
    path.write_bytes(b"\0\0\0")
    outcome = take_in_all(book)
    assert (outcome.roasts, list(outcome.refused)) == (0, ["recordings/a.csv"])
    path.unlink()
    assert take_in_all(book).refused == {}


def test_a_roast_that_is_being_recorded_is_left_for_later(book: Book, home: Path) -> None:
    path = home / "recordings" / "now.csv"
    recorder = Recorder(path, {"title": "now"})
    recorder.open()
    recorder.append(Reading(0.0, 200.0))
    outcome = take_in_all(book)
    assert (outcome.roasts, outcome.recording) == (0, ["recordings/now.csv"])
    with pytest.raises(RecordError, match="still being recorded"):
        take_in(book, path)
    recorder.close()
    assert take_in_all(book).new == 1
    assert only(book).title == "now"


def test_coffees_and_lots_are_made_once_whatever_the_case(book: Book, home: Path) -> None:
    for number, coffee in enumerate(("House espresso", "HOUSE ESPRESSO", "Fenmoor washed")):
        write_roast(home, f"{number}.csv", coffee=coffee, lot="2026-A")
    take_in_all(book)
    assert [row["name"] for row in book.db.execute("SELECT name FROM coffee ORDER BY name")] == [
        "Fenmoor washed",
        "House espresso",
    ]
    assert book.db.execute("SELECT count(*) FROM lot").fetchone()[0] == 2


def test_everything_a_person_may_look_for_is_found(book: Book, home: Path) -> None:
    text = roast_text({"title": "ÉTÉ", "coffee": "Fenmoor washed", "roasted_by": "Ines",
                       "started_at": "2026-03-04T07:28:09+01:00", "lot": "2026-A",
                       "reference": "Summer v2", "remarks": "Sweet"})  # fmt: skip
    text += "100.00,,,control,70,heat %\n300.00,,,comment,,a Burner was loose\n"
    text += "300.00,,,comment,,verdict=good\n520.00,,,first_crack,,auto\n"
    take_in(book, write_roast(home, text=text))
    for words in ("été", "fenmoor", "ines", "2026-a", "summer", "sweet", "burner", "good",
                  "2026-03-04", "wednesday", "march", "march burner été"):  # fmt: skip
        assert count_roasts(book, condition(words)) == 1, words
    for words in ("heat", "auto", "verdict=", "friday", "april"):
        assert count_roasts(book, condition(words)) == 0, words


def test_the_version_a_roast_names_is_linked_and_its_curve_compared(book: Book, home: Path) -> None:
    write_version(home, above_c=-1.0, corridor_c=0.5)
    write_roast(home, text=GOOD.read_text("utf-8"))
    outcome = take_in_all(book)
    assert (outcome.new, outcome.versions, outcome.roasts) == (2, 1, 1)
    found = only(book)
    assert found.version_id is not None
    assert found.worst_departure_c == pytest.approx(1.0, abs=0.2)
    assert found.within_share == 0.0, "the corridor is 0.5 °C to either side"


def test_a_version_that_comes_or_goes_later_is_linked_and_let_go(book: Book, home: Path) -> None:
    write_roast(home, text=GOOD.read_text("utf-8"))
    write_roast(home, "other.csv", reference="", title="other")
    take_in_all(book)
    assert roast_in(book, "recordings/a.csv").worst_departure_c is None  # type: ignore[union-attr]
    path = write_version(home)
    assert take_in_all(book).changed == 1, "the roast that names it, and no other"
    found = roast_in(book, "recordings/a.csv")
    assert found is not None and found.version_id is not None
    assert found.worst_departure_c == pytest.approx(0.0, abs=0.2)
    path.unlink()
    outcome = take_in_all(book)
    assert (outcome.gone, outcome.versions) == (1, 0)
    found = roast_in(book, "recordings/a.csv")
    assert found is not None and (found.version_id, found.worst_departure_c) == (None, None)


def test_a_reference_among_the_recordings_is_no_roast(book: Book, home: Path) -> None:
    write_version(home).rename(home / "recordings" / "v3.csv")
    outcome = take_in_all(book)
    assert "is a reference" in outcome.refused["recordings/v3.csv"]
    assert outcome.roasts == 0


def test_progress_is_told_to_the_end(book: Book, home: Path) -> None:
    for number in range(3):
        write_roast(home, f"{number}.csv")
    told: list[tuple[int, int]] = []
    take_in_all(book, lambda done, whole: told.append((done, whole)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_a_recording_kept_elsewhere_is_named_by_its_whole_path(
    book: Book, home: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("elsewhere") / "a.csv"
    path.write_text(roast_text())
    found = roast_of(book, take_in(book, path))
    assert Path(found.file) == path == book.located(found.file)
    assert take_in_all(book).roasts == 1, "it is no business of the folder"


def test_a_book_opened_for_reading_takes_nothing_in(book: Book, home: Path) -> None:
    path = write_roast(home)
    with Book.open(home) as second, pytest.raises(BookError, match="another roastside"):
        take_in(second, path)


def test_a_change_that_keeps_size_and_time_is_not_looked_for(book: Book, home: Path) -> None:
    path = write_roast(home)
    first, about = take_in(book, path), path.stat()
    path.write_text(path.read_text().replace("batch 12", "batch 13"))
    os.utime(path, ns=(about.st_atime_ns, about.st_mtime_ns))
    assert take_in(book, path) == first
    assert only(book).title == "House espresso, batch 12"
