"""The roast files that everything is shown and tested with: made by a script, to the byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.events import Alert, AlertState, Family
from roastside.core.findings import FindingKind
from roastside.core.finished import FinishedRoast
from roastside.core.readings import Reading
from roastside.core.session import Session
from roastside.core.shape import shape_findings
from roastside.live.opening import load_reference
from roastside.record.reader import RoastFile, read_roast_file
from scripts.make_fixtures import DEMO_REFERENCE, FIXTURES, main

FILES = sorted(FIXTURES.glob("*.csv"))
REFERENCES = {
    "House espresso v3": FIXTURES / "house-espresso-v3.csv",
    "Small decaf v1": FIXTURES / "decaf-small-v1.csv",
}

EXPECTED = {
    "house-good-repeat-1": set(),
    "house-good-repeat-2": set(),
    "decaf-good-repeat": set(),
    "house-spikes": {"spikes"},
    "house-coarse-probe": set(),
    "house-long-development": {"drop_missed"},
    "house-slow-browning": {"below_reference", "leaving_low"},
    "house-stall": {"below_reference", "leaving_low"},
    "house-cold-charge": {"below_reference", "charge_temperature_off"},
    "house-too-hot": {"above_reference", "leaving_high"},
    "house-probe-unplugged": {"probe_silent"},
    "house-probe-stuck": {"probe_stuck", "rate_low"},
    "house-probe-open": {"probe_open"},
    "house-probes-swapped": {"probes_swapped", "charge_temperature_off"},
    "house-fahrenheit": {
        "over_temperature",
        "wrong_unit",
        "charge_temperature_off",
        "runaway_rise",
    },
}
"""What each raises against its reference, beyond the notices every roast has."""

NOTICES = {"cue_soon", "first_crack_soon", "development_target_soon", "development_target"}


def raised(roast: RoastFile) -> list[Alert]:
    """The alerts raised when it is followed against the reference that it names."""
    session = Session(reference=load_reference(REFERENCES[roast.header["reference"]]))
    events = [event for item in roast.items() for event in session.feed(item)]
    alerts = [event for event in events if isinstance(event, Alert)]
    return [alert for alert in alerts if alert.state is AlertState.RAISED]


def test_the_script_makes_exactly_these_files(tmp_path: Path) -> None:
    reference = tmp_path / "demo" / DEMO_REFERENCE.name
    reference.parent.mkdir()
    main(tmp_path / "fixtures", reference)
    made = {path.name: path.read_bytes() for path in (tmp_path / "fixtures").iterdir()}
    kept = {path.name: path.read_bytes() for path in FIXTURES.iterdir()}
    assert set(made) == set(kept)
    changed = [name for name in made if made[name] != kept[name]]
    assert changed == [], "run `python scripts/make_fixtures.py`"
    assert reference.read_bytes() == DEMO_REFERENCE.read_bytes()


def test_the_demo_s_reference_is_the_house_reference() -> None:
    assert DEMO_REFERENCE.read_bytes() == REFERENCES["House espresso v3"].read_bytes()


def test_there_are_at_least_a_dozen_and_the_list_names_each() -> None:
    assert len(FILES) >= 12
    told = (FIXTURES / "README.md").read_text("utf-8")
    for file in FILES:
        assert f"`{file.name}`: {read_roast_file(file).header['shows']}." in told


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_file_is_a_whole_roast_that_says_what_it_shows(file: Path) -> None:
    roast = read_roast_file(file)
    assert (roast.torn, roast.skipped) == (False, 0)
    assert roast.header["shows"]
    assert {"charge", "turning_point", "first_crack", "drop"} <= set(roast.marks())
    assert len([item for item in roast.items() if isinstance(item, Reading)]) > 300
    # Common practice, no source: a roast loses a tenth to a fifth of its weight.
    loss = 1.0 - float(roast.header["roasted_weight_g"]) / float(roast.header["charge_weight_g"])
    assert 0.10 < loss < 0.20


AGAIN = {"over_temperature", "cue_soon"}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_each_raises_what_it_is_there_to_show_and_no_more(file: Path) -> None:
    roast = read_roast_file(file)
    if "reference" not in roast.header:
        assert roast.title in REFERENCES
        return
    found = raised(roast)
    assert {alert.alert for alert in found} - NOTICES == EXPECTED[file.stem]
    # Read as °C the Fahrenheit roast crosses 240 twice: before charge, and on its way up.
    counts = [alert.alert for alert in found if alert.alert not in AGAIN]
    assert len(counts) == len(set(counts)), "an alert was raised twice for one cause"


def test_good_repeats_leave_no_corridor() -> None:
    good = [file for file in FILES if not EXPECTED.get(file.stem, {"a reference"})]
    assert len(good) >= 4
    for file in good:
        assert [
            a.alert for a in raised(read_roast_file(file)) if a.family is Family.DEVIATION
        ] == []


def test_the_stall_is_one() -> None:
    roast = read_roast_file(FIXTURES / "house-stall.csv")
    finished = FinishedRoast.from_readings(
        roast.title, [item for item in roast.items() if isinstance(item, Reading)], roast.marks()
    )
    (stall,) = [f for f in shape_findings(finished) if f.kind is FindingKind.STALL]
    assert stall.lasted_s > 60.0
    assert stall.to_s < finished.marks["first_crack"] - 30.0
    # Against its reference it is below the corridor long before, for the same cause.
    session = Session()
    events = [event for item in roast.items() for event in session.feed(item)]
    assert "stall" in {event.alert for event in events if isinstance(event, Alert)}


def test_a_long_development_is_told_before_it_is_too_long() -> None:
    roast = read_roast_file(FIXTURES / "house-long-development.csv")
    target = next(alert for alert in raised(roast) if alert.alert == "development_target")
    assert target.time_s < roast.marks()["drop"] - 30.0
