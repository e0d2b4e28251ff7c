"""Roasts go out as roast files and their figures as one table, safe for any spreadsheet."""

from __future__ import annotations

import csv
from importlib.util import find_spec
from pathlib import Path

import pandas as pd
import pytest

from roastside.book.filters import condition
from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.core.errors import StoreError, UsageError
from roastside.desk.exporting import export_figures, export_roasts, safe_name
from roastside.desk.figures import NUMBERS, TEXTS, figures_frame
from tests.book.homes import GOOD, HOUSE, home_of
from tests.desk.shop import shop
from tests.live.running import run_here


def test_the_frame_has_a_row_a_roast_and_a_type_a_column(tmp_path: Path) -> None:
    with shop(tmp_path, 6, drop_c_a_week=1.0) as book:
        frame = figures_frame(book)
    assert len(frame) == 6
    assert all(frame[name].dtype == "float64" for name in NUMBERS)
    assert all(pd.api.types.is_string_dtype(frame[name]) for name in TEXTS)
    assert str(frame["started_utc"].dt.tz) == "UTC"
    assert frame["started_utc"].is_monotonic_increasing
    assert frame["drop_c"].iloc[2] == pytest.approx(205.0 + 0.2 + 1.0)
    assert frame["cup_score"].isna().all()


def test_an_empty_book_gives_an_empty_table_of_the_same_types(tmp_path: Path) -> None:
    with shop(tmp_path, 0) as book:
        frame = figures_frame(book)
    assert (len(frame), frame["drop_c"].dtype) == (0, "float64")
    assert str(frame["started_utc"].dt.tz) == "UTC"


def test_the_table_for_people_has_no_formulas_and_its_numbers_are_numbers(tmp_path: Path) -> None:
    path = tmp_path / "figures.csv"
    with shop(tmp_path / "home", 6) as book:
        assert export_figures(book, path, condition("verdict:good")) == 3
    rows = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    assert [row["title"] for row in rows] == [f"'=House espresso, batch {k}" for k in (1, 3, 5)]
    assert float(rows[0]["drop_c"]) == pytest.approx(205.1)
    assert pd.read_csv(path)["total_s"].dtype == "float64"


def test_parquet_keeps_the_types_or_says_what_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "figures.parquet"
    with shop(tmp_path / "home", 2) as book:
        if find_spec("pyarrow") is None:
            with pytest.raises(UsageError, match="pyarrow"):
                export_figures(book, path)
        else:
            assert export_figures(book, path) == 2
            assert pd.read_parquet(path)["drop_c"].dtype == "float64"


@pytest.mark.parametrize("name", ["figures.xlsx", "figures"])
def test_another_ending_is_refused(tmp_path: Path, name: str) -> None:
    with shop(tmp_path / "home", 1) as book, pytest.raises(UsageError, match=r"\.csv"):
        export_figures(book, tmp_path / name)


def test_roasts_are_copied_by_date_and_title_and_nothing_is_overwritten(tmp_path: Path) -> None:
    home = home_of(tmp_path / "home", GOOD, HOUSE)
    with Book.open(home) as book:
        take_in_all(book)
        out = tmp_path / "out"
        first = export_roasts(book, out)
        assert [path.name for path in first.files] == [
            "2026-03-02 07.14 House espresso v3.csv",
            "2026-03-04 07.28 House espresso, batch 12.csv",
        ]
        assert first.files[1].read_bytes() == GOOD.read_bytes()
        again = export_roasts(book, out, condition("batch"))
        assert again.files[0].name == "2026-03-04 07.28 House espresso, batch 12 (2).csv"
        (home / "recordings" / GOOD.name).unlink()
        assert len(export_roasts(book, out).refused) == 1


def test_a_place_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with shop(tmp_path / "home", 1) as book:
        with pytest.raises(StoreError, match="choose another place"):
            export_roasts(book, tmp_path / "file" / "out")
        with pytest.raises(StoreError, match="choose another place"):
            export_figures(book, tmp_path / "no such folder" / "a.csv")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("a/b\\c:d", "a-b-c-d"),
        ("../../etc", "-..-etc"),
        ("CON", "_CON"),
        ("com1.csv", "_com1.csv"),
        ("", "_"),
        (" House. ", "House"),
    ],
)
def test_names_that_every_system_takes(text: str, name: str) -> None:
    assert safe_name(text) == name


def test_the_commands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    home = home_of(tmp_path / "home", GOOD)
    with Book.open(home) as book:
        take_in_all(book)

    def said(*words: object) -> str:
        done = run_here("export", *words, home=home, patch=monkeypatch, streams=capfd)
        assert (done.code, done.err) == (0, "")
        return done.out

    assert said("roasts", tmp_path / "o").startswith("1 roast written to")
    assert said("roasts", tmp_path / "p", "--where", "coffee:moon").startswith("0 roasts")
    assert said("figures", tmp_path / "f.csv").startswith("1 roast written to")


def test_where_no_roast_fits_the_table_that_is_there_stays(tmp_path: Path) -> None:
    path = tmp_path / "figures.csv"
    with shop(tmp_path / "home", 2) as book:
        export_figures(book, path)
        before = path.read_bytes()
        with pytest.raises(UsageError, match="no roast fits"):
            export_figures(book, path, condition("loss>abc"))
    assert path.read_bytes() == before


def test_a_roast_that_tells_neither_when_nor_what_has_a_row(tmp_path: Path) -> None:
    home = home_of(tmp_path / "home")
    lines = GOOD.read_text().splitlines(keepends=True)
    bare = "".join(line for line in lines if not line.startswith("#"))
    (home / "recordings" / "bare.csv").write_text(bare)
    with Book.open(home) as book:
        take_in_all(book)
        assert export_figures(book, tmp_path / "figures.csv") == 1
    (row,) = csv.DictReader((tmp_path / "figures.csv").read_text("utf-8-sig").splitlines())
    assert (row["started_at"], row["coffee"]) == ("", "")
