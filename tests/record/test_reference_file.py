"""A reference written to a file and read again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from roastside.core.cues import Cue
from roastside.core.errors import RecordError, StoreError
from roastside.core.reference import Reference
from roastside.record.facts import append_fact
from roastside.record.lineage import Lineage
from roastside.record.reader import read_roast_file
from roastside.record.reference_file import (
    COLUMNS,
    COLUMNS_DOUBTED,
    read_reference_file,
    reference_in,
    reference_text,
    write_reference_file,
)
from tests.core.good_references import HOUSE, references
from tests.core.roasts import steady

LINEAGE = Lineage("House espresso", 3, origin="roast", author="Ines")
HEADER = LINEAGE.header()


def kept(folder: Path, text: str) -> Path:
    path = folder / "kept.csv"
    path.write_text(text, encoding="utf-8")
    return path


def assert_same(found: Reference, written: Reference) -> None:
    """The same curve to half of the last written digit, and the rest exactly."""
    assert np.abs(np.array(found.bean_c) - written.bean_c).max() <= 0.000501
    rate_off = 60.0 * np.abs(np.array(found.slope_c_per_s) - written.slope_c_per_s).max()
    assert rate_off <= 0.000501
    assert found.marks == written.marks
    assert found.turning_point_s == written.turning_point_s
    assert [(cue.elapsed_s, cue.words) for cue in found.cues] == [
        (cue.elapsed_s, cue.words) for cue in written.cues
    ]
    if written.corridor_c is None:
        assert found.corridor_c is None
    else:
        assert found.corridor_c == pytest.approx(written.corridor_c, abs=0.000501)


@settings(steady, max_examples=15)
@given(references)
def test_what_is_written_is_read_again_to_the_last_digit(
    tmp_path_factory: pytest.TempPathFactory, reference: Reference
) -> None:
    text = reference_text(reference, HEADER)
    path = kept(tmp_path_factory.mktemp("references"), text)
    found = read_reference_file(path)
    assert_same(found.reference, reference)
    assert found.lineage == LINEAGE
    assert reference_text(found.reference, HEADER) == text


def test_it_is_a_roast_file_of_even_rows(tmp_path: Path) -> None:
    file = read_roast_file(kept(tmp_path, reference_text(HOUSE, HEADER)))
    assert file.columns == COLUMNS
    assert file.skipped == 0
    assert file.marks() == HOUSE.marks
    times = [row.time_s for row in file.rows if row.bean_c is not None]
    assert np.diff(times) == pytest.approx(0.5)
    controls = [(row.value, row.note) for row in file.rows if row.mark == "control"]
    assert controls == [
        ("78", "heat %"),
        ("70", "heat %"),
        ("40", "air %"),
        ("60", "heat %"),
    ]


def test_where_it_is_doubted_is_kept_in_a_column_of_its_own(tmp_path: Path) -> None:
    doubt_c = [0.0] * len(HOUSE.bean_c)
    doubt_c[500:600] = [1.25] * 100
    doubted = replace(HOUSE, doubt_c=doubt_c)
    path = kept(tmp_path, reference_text(doubted, HEADER))
    assert read_roast_file(path).columns == COLUMNS_DOUBTED
    found = read_reference_file(path).reference
    assert found.doubt_c == pytest.approx(doubt_c)
    assert found.guesses == doubted.guesses
    assert_same(found, HOUSE)
    assert reference_text(found, HEADER) == path.read_text(encoding="utf-8")


def test_rows_are_in_the_order_of_time(tmp_path: Path) -> None:
    file = read_roast_file(kept(tmp_path, reference_text(HOUSE, HEADER)))
    times = [row.time_s for row in file.rows]
    assert times == sorted(times)


@pytest.mark.parametrize(
    "words",
    ["drum slower", "heat to 70 %", "heat to low, then wait", "=SUM(A1)", "air, #2 to 40 %"],
)
def test_cues_come_back_word_for_word(tmp_path: Path, words: str) -> None:
    cued = replace(HOUSE, cues=(Cue(8.25, HOUSE.bean_c[17], "early"), HOUSE.cue(300.0, words)))
    found = read_reference_file(kept(tmp_path, reference_text(cued, HEADER))).reference
    assert found.cues == tuple(found.cue(cue.elapsed_s, cue.words) for cue in cued.cues)


def test_later_facts_are_in_the_header(tmp_path: Path) -> None:
    path = kept(tmp_path, reference_text(HOUSE, HEADER))
    append_fact(path, "current_since", "2026-03-05T07:00:00+01:00")
    found = read_reference_file(path)
    assert found.header["current_since"] == "2026-03-05T07:00:00+01:00"
    assert_same(found.reference, HOUSE)


def test_a_file_is_written_whole_and_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "House espresso v3.csv"
    write_reference_file(path, HOUSE, HEADER)
    assert path.read_text(encoding="utf-8") == reference_text(HOUSE, HEADER)
    assert list(tmp_path.iterdir()) == [path]


def test_what_is_there_is_never_overwritten(tmp_path: Path) -> None:
    path = kept(tmp_path, "dear to somebody")
    with pytest.raises(StoreError, match="is there already"):
        write_reference_file(path, HOUSE, HEADER)
    assert path.read_text(encoding="utf-8") == "dear to somebody"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be stored"):
        write_reference_file(tmp_path / "gone" / "x.csv", HOUSE, HEADER)


def spoiled(old: str, new: str) -> str:
    text = reference_text(HOUSE, HEADER)
    assert old in text
    return text.replace(old, new)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (spoiled("kind: reference", "kind: other"), "is a roast, not a reference"),
        (spoiled(",rate,", ",pace,"), "has no column rate"),
        (reference_text(HOUSE, HEADER).partition("0.00,200.0")[0], "not in the order of time"),
        (spoiled("\n300.00,", "\n200.00,"), "not in the order of time"),
    ],
    ids=["a roast", "without rates", "without rows", "out of order"],
)
def test_a_spoiled_file_is_refused_in_one_sentence(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(RecordError, match=says) as refused:
        read_reference_file(kept(tmp_path, text))
    assert "kept.csv" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_rate_that_is_missing_is_said_with_its_place(tmp_path: Path) -> None:
    lines = reference_text(HOUSE, HEADER).splitlines(keepends=True)
    at = next(k for k, line in enumerate(lines) if line.startswith("300.00,"))
    cells = lines[at].split(",")
    lines[at] = ",".join([*cells[:2], "", *cells[3:]])
    with pytest.raises(RecordError, match=r"there is no rate at 300\.0 s"):
        reference_in(read_roast_file(kept(tmp_path, "".join(lines))))
