"""What is written at the desk never costs a roast, nor what stood there before."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.cli import main
from roastside.core.errors import StoreError, UsageError
from roastside.desk.roast_copy import safe_copy
from roastside.desk.written import write_over

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    (tmp_path / "recordings").mkdir()
    name = "house-good-repeat-1.csv"
    (tmp_path / "recordings" / name).write_bytes((FIXTURES / name).read_bytes())
    return tmp_path


def test_neither_a_report_nor_a_table_is_written_over_a_roast(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recording = home / "recordings" / "house-good-repeat-1.csv"
    before = recording.read_bytes()
    assert main(["rebuild"]) == 0
    assert main(["report", str(recording), "-o", str(recording)]) == 2
    assert main(["export", "figures", str(recording)]) == 2
    assert recording.read_bytes() == before
    assert "nothing overwrites a roast" in capsys.readouterr().err
    assert [path.name for path in recording.parent.iterdir()] == [recording.name]


def test_what_cannot_be_written_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    path.write_text("report of last week")

    def full(part: Path) -> None:
        part.write_text("half")
        raise OSError(28, "No space left on device")

    with pytest.raises(StoreError, match="No space left on device"):
        write_over(path, full, b"report")
    assert path.read_text() == "report of last week"
    assert list(tmp_path.iterdir()) == [path]
    write_over(path, lambda part: part.write_text("this week") and None, b"report")
    assert path.read_text() == "this week"


def test_a_folder_is_not_written_over(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="not an ordinary file"):
        write_over(tmp_path, lambda part: None, b"report")


def test_a_formula_before_a_cell_that_goes_on_in_the_next_line_is_made_harmless() -> None:
    copied = safe_copy(b'1,2,comment,=HYPERLINK("x"),"open\nstill open"\n3,200,,,\n')
    assert copied.splitlines()[0].decode().split(",")[3].lstrip('"').startswith("'=")
    assert copied.splitlines()[1:] == [b'still open"', b"3,200,,,"]


@pytest.mark.parametrize(
    "table",
    [
        "time,bean\n1e300,200\n2e300,201\n",
        "time,bean\n2026-03-04T07:00:00+24:00,200\n2026-03-04T07:00:01+99:00,201\n",
        "time,bean\n1772606400000000,200\n1772606401000000,201\n",
        "time,bean\n" + "9" * 140_000 + ",200\n",
    ],
)
def test_one_odd_table_never_costs_the_others(
    home: Path, tmp_path: Path, table: str, capsys: pytest.CaptureFixture[str]
) -> None:
    odd, good = tmp_path / "odd.csv", tmp_path / "good.csv"
    odd.write_text(table)
    rows = "".join(f"{n},{150 + 0.2 * n:.1f}\n" for n in range(300))
    good.write_text("time s,bean °C\n" + rows)
    assert main(["import", str(odd), str(good)]) == 2
    told = capsys.readouterr()
    assert "odd.csv" in told.out + told.err and "Traceback" not in told.out + told.err
    assert len(list((home / "recordings").glob("*.csv"))) == 2


def test_a_reference_is_no_roast_to_import(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    reference = tmp_path / "reference.csv"
    reference.write_text(
        "# roastside roast file 1\n# title: House v1\n# kind: reference\n"
        "time_s,bean_c,rate,corridor,mark,value,note\n0.0,200,,,charge,,\n"
    )
    assert main(["import", str(reference)]) == 2
    told = capsys.readouterr()
    assert "copy it into the folder references" in told.out + told.err
    assert len(list((home / "recordings").iterdir())) == 1


def test_only_an_earlier_one_is_written_over(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recording = str(home / "recordings" / "house-good-repeat-1.csv")
    table, page = home / "figures.csv", home / "report.html"
    for _ in range(2):
        assert main(["export", "figures", str(table)]) == 0
        assert main(["report", recording, "-o", str(page)]) == 0
    for mine in (table, page):
        mine.write_text("the wages of March\n")
    assert main(["export", "figures", str(table)]) == 2
    assert main(["report", recording, "-o", str(page)]) == 2
    assert capsys.readouterr().err.count("is there already, and is not what roastside would") == 2
    assert table.read_text() == page.read_text() == "the wages of March\n"
