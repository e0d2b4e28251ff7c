"""The curve of a recorded roast, read fast."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from roastside.core.errors import RecordError
from roastside.core.finished import FinishedRoast
from roastside.core.readings import Reading
from roastside.live.past_curve import read_curve
from roastside.record.reader import read_roast_file
from tests.book.homes import FIXTURES, home_of, roast_text, write_roast


@pytest.mark.parametrize("name", ["house-good-repeat-1", "house-coarse-probe", "house-spikes"])
def test_it_is_close_to_the_curve_that_careful_smoothing_finds(name: str) -> None:
    path = FIXTURES / f"{name}.csv"
    file = read_roast_file(path)
    readings = [item for item in file.items() if isinstance(item, Reading)]
    careful = FinishedRoast.from_readings(file.title, readings, file.marks())
    curve = read_curve(path)
    late = curve.elapsed_s > careful.marks["turning_point"] + 30.0
    expected_c = np.interp(curve.elapsed_s, careful.curve.time_s, careful.curve.bean_c)
    expected_rate = 60.0 * np.interp(
        curve.elapsed_s, careful.curve.time_s, careful.curve.slope_c_per_s
    )
    assert np.abs(curve.bean_c - expected_c)[late].max() < 1.5
    assert np.median(np.abs(curve.rate_c_per_min - expected_rate)[late]) < 1.0


def test_a_straight_rise_keeps_its_rate_to_both_ends(tmp_path: Path) -> None:
    curve = read_curve(write_roast(home_of(tmp_path)))
    rising = (curve.elapsed_s > 90.0) & np.isfinite(curve.rate_c_per_min)
    assert curve.elapsed_s[-1] == 600.0
    assert curve.rate_c_per_min[rising] == pytest.approx(12.0, abs=0.4)
    assert np.isnan(curve.rate_c_per_min[curve.elapsed_s < 59.0]).all()


def test_a_gap_is_left_open(tmp_path: Path) -> None:
    silent = tuple(f"{at_s}." for at_s in range(300, 320))
    kept = [line for line in roast_text().splitlines() if not line.startswith(silent)]
    curve = read_curve(write_roast(home_of(tmp_path), text="\n".join(kept) + "\n"))
    # On the clock of the roast, which is 30 s behind that of the file.
    inside = (curve.elapsed_s > 269.5) & (curve.elapsed_s < 290.0)
    assert np.isnan(curve.bean_c[inside]).all()
    assert np.isfinite(curve.bean_c[~inside]).all()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (roast_text().replace(",charge,", ",comment,"), "has no charge"),
        ("time_s,bean_c,mark\n0,200,charge\n1,199,\n", "less than a minute"),
    ],
)
def test_what_has_no_curve_is_refused_with_a_sentence(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(RecordError, match=told):
        read_curve(write_roast(home_of(tmp_path), text=text))
