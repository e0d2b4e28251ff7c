"""Calibrations in settings.toml: kept for each probe, read strictly."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from roastside.core.errors import UsageError
from roastside.live.settings import Settings, load_settings, save_settings
from roastside.probes.calibrate import Calibration, Point, calibration_from

BEAN = Calibration(
    1.018653, -0.611, date(2026, 3, 2), 'Ines "I" K.', (Point(0.6, 0.0), Point(97.1, 98.3))
)
INLET = Calibration(1.0, 0.5, date(2026, 2, 1), "Tomas", (Point(-0.5, 0.0),))


def test_calibrations_are_read_as_they_were_saved(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    chosen = Settings(calibration={"bean_c": BEAN, "inlet_c": INLET})
    save_settings(chosen, path)
    assert load_settings(path) == chosen
    assert "[calibration.bean_c]" in path.read_text()
    assert "date = 2026-03-02" in path.read_text()


def test_a_new_one_replaces_the_old_and_leaves_the_others_and_the_comments(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save_settings(Settings(calibration={"bean_c": BEAN, "inlet_c": INLET}), path)
    path.write_text("# by Ines\n" + path.read_text())
    before = load_settings(path)
    newer = replace(BEAN, gain=1.5, points=())
    save_settings(replace(before, calibration={"bean_c": newer}), path)
    assert load_settings(path).calibration == {"bean_c": newer, "inlet_c": INLET}
    assert path.read_text().startswith("# by Ines")


def test_person_and_points_may_be_left_out_when_it_is_written_by_hand(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("[calibration.bean_c]\ngain = 1\noffset_c = -2\ndate = 2026-03-02\n")
    kept = load_settings(path).calibration["bean_c"]
    assert kept == Calibration(1.0, -2.0, date(2026, 3, 2), "")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("calibration = 3", "calibration is not a table"),
        ("[calibration]\nbean_c = 3", "calibration.bean_c is not a table"),
        ("[calibration.bean]\ngain = 1", "'bean' is no channel"),
        ("[calibration.time_s]\ngain = 1", "'time_s' is no channel"),
        ("[calibration.bean_c]\ngain = 1", "needs numbers gain and offset_c"),
        ("[calibration.bean_c]\ngain=0\noffset_c=1\ndate=2026-03-02", "gain 0.0"),
        ("[calibration.bean_c]\ngain=nan\noffset_c=1\ndate=2026-03-02", "gain nan"),
        ("[calibration.bean_c]\ngain=true\noffset_c=1\ndate=2026-03-02", "needs numbers"),
        ("[calibration.bean_c]\ngain=1\noffset_c=1\ndate='2026-03-02'", "a date such as"),
        ("[calibration.bean_c]\ngain=1\noffset_c=1\ndate=2026-03-02T08:00:00", "a date such as"),
        ("[calibration.bean_c]\ngain=1\noffset_c=1\ndate=2026-03-02\nperson=3", "person in quotes"),
        ("[calibration.bean_c]\ngain=1\noffset_c=1\ndate=2026-03-02\npoints=[[1]]", "points such"),
        ("[calibration.bean_c]\ngain=1\noffset_c=1\ndate=2026-03-02\npoints=[1, 2]", "points such"),
    ],
)
def test_one_that_cannot_be_applied_is_refused_in_a_sentence(
    tmp_path: Path, text: str, says: str
) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    with pytest.raises(UsageError) as refusal:
        load_settings(path)
    assert says in str(refusal.value)
    assert str(path) in str(refusal.value)


def test_the_example_of_the_manual_can_be_loaded_and_is_right(tmp_path: Path) -> None:
    manual = Path(__file__).resolve().parents[2] / "docs" / "probes.md"
    path = tmp_path / "settings.toml"
    path.write_text(manual.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0])
    kept = load_settings(path).calibration["bean_c"]
    assert kept == calibration_from(kept.points, kept.date, kept.person)
