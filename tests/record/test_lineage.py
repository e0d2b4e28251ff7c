"""Where a version comes from, as its file's header tells it."""

from __future__ import annotations

import pytest

from roastside.record.lineage import Lineage

FOURTH = Lineage(
    "House espresso",
    4,
    coffee="House espresso",
    origin="edit",
    parent="House espresso v3",
    made_at="2026-03-04T11:20:00+01:00",
    author="Ines",
    change="browning 20 s longer",
    reason="flat in the cup; more sweetness wanted",
    made_from=("recordings/a.csv", "recordings/b.csv"),
)


def test_a_header_tells_it_all() -> None:
    header = FOURTH.header()
    assert header["title"] == "House espresso v4"
    assert header["kind"] == "reference"
    assert header["made_from"] == "recordings/a.csv; recordings/b.csv"
    assert Lineage.of(header) == FOURTH


def test_what_is_not_known_is_left_out() -> None:
    assert set(Lineage("Decaf", 1).header()) == {
        "title",
        "kind",
        "reference_name",
        "version",
        "origin",
    }


def test_a_long_list_of_recordings_goes_on_in_further_lines() -> None:
    files = tuple(f"recordings/2026-03-02 08.14.{k:02d}.csv" for k in range(50))
    header = Lineage("House espresso", 4, made_from=files).header()
    assert "made_from_2" in header
    assert all(len(line) <= 500 for line in header.values())
    assert Lineage.of(header).made_from == files


@pytest.mark.parametrize(
    "version",
    ["", "x", "-3", "0", "9" * 5000, "²"],
    ids=["empty", "a word", "negative", "nought", "overlong", "a power"],
)
def test_an_odd_version_is_taken_from_the_title(version: str) -> None:
    found = Lineage.of({"title": "House espresso v4", "version": version, "origin": "elsewhere"})
    assert (found.name, found.version, found.origin) == ("House espresso", 4, "file")
