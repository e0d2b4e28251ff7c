"""Events in the contract's words."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from roastside.core.events import (
    Alert,
    AlertState,
    Event,
    Family,
    Forecast,
    Gap,
    Marked,
    Priority,
    Sample,
    StageSpan,
    Summary,
    as_record,
)
from roastside.core.readings import MarkSource, Stage

HEAD = {"event", "time_s", "elapsed_s"}
REFERENCE_KEYS = {
    "reference_bean_c",
    "reference_rate_c_per_min",
    "deviation_c",
    "ahead_s",
}

BARE_SAMPLE = Sample(12.0, None, 201.25, None, None, None, Stage.PREHEAT)
COMPARED_SAMPLE = Sample(
    100.12345, 60.1, 120.5, 180.0, 9.87654, 0.4, Stage.DRYING, True, 121.0, 10.0, -0.5, -3.2
)
MARK = Marked(50.0, 9.0, "control", 8.5, MarkSource.HAND, "70", "heat %")
FORECAST = Forecast(300.0, 260.0, "first_crack", 500.0, 480.0, 520.0)
ALERT = Alert(
    9.0,
    None,
    "probe_silent",
    Family.PROBE,
    Priority.HIGH,
    AlertState.RAISED,
    "check the probe",
)
GAP = Gap(20.0, None, 10.0, 20.0, "no readings came")
SUMMARY = Summary(
    700.0,
    660.0,
    620.0,
    {"charge": 0.0, "drop": 620.0},
    {"drying": StageSpan(620.0, 1.0)},
    None,
    None,
    1.23456,
    {"below_reference": 2},
    1400,
    3,
)

# Contract 4, the table of events: the keys of each.
CONTRACT = [
    (
        BARE_SAMPLE,
        "sample",
        {"bean_c", "air_c", "rate_c_per_min", "rate_sd", "stage"},
    ),
    (
        COMPARED_SAMPLE,
        "sample",
        {"bean_c", "air_c", "rate_c_per_min", "rate_sd", "stage"} | REFERENCE_KEYS,
    ),
    (
        Marked(50.0, 9.0, "drop", 8.5, MarkSource.AUTO),
        "mark",
        {"mark", "at_s", "source"},
    ),
    (FORECAST, "forecast", {"milestone", "at_s", "low_s", "high_s"}),
    (ALERT, "alert", {"alert", "family", "priority", "state", "message"}),
    (GAP, "gap", {"from_s", "to_s", "reason"}),
    (
        SUMMARY,
        "summary",
        {
            "duration_s",
            "marks",
            "stages",
            "development_s",
            "development_ratio",
            "max_deviation_c",
            "alerts",
            "readings",
            "missing",
        },
    ),
]


@pytest.mark.parametrize(("event", "name", "keys"), CONTRACT)
def test_each_event_has_exactly_the_contracts_keys(event: Event, name: str, keys: set[str]) -> None:
    record = as_record(event)
    assert record["event"] == name
    assert set(record) == HEAD | keys


@pytest.mark.parametrize("event", [event for event, _, _ in CONTRACT])
def test_each_event_is_plain_json(event: Event) -> None:
    record = as_record(event)
    assert json.loads(json.dumps(record, allow_nan=False)) == record


def test_unknown_values_are_null_not_left_out() -> None:
    record = as_record(BARE_SAMPLE)
    assert record["rate_c_per_min"] is None
    assert record["elapsed_s"] is None
    assert record["air_c"] is None


def test_numbers_are_rounded_to_a_thousandth() -> None:
    record = as_record(COMPARED_SAMPLE)
    assert record["time_s"] == 100.123
    assert record["rate_c_per_min"] == 9.877
    assert as_record(SUMMARY)["max_deviation_c"] == 1.235


def test_a_stage_is_told_in_seconds_and_share() -> None:
    assert as_record(SUMMARY)["stages"] == {"drying": {"seconds": 620.0, "share": 1.0}}


def test_a_control_tells_its_value_as_a_number_and_its_note() -> None:
    record = as_record(MARK)
    assert (record["value"], record["note"]) == (70.0, "heat %")


@pytest.mark.parametrize("value", ["nan", "inf", "-Infinity", "1e999", "seventy"])
def test_a_control_value_that_is_no_number_json_knows_stays_text(value: str) -> None:
    record = as_record(Marked(50.0, 9.0, "control", 8.5, MarkSource.HAND, value))
    assert record["value"] == value
    json.dumps(record, allow_nan=False)


def test_how_often_alerts_came_is_told_for_ten_minutes() -> None:
    busy = replace(SUMMARY, duration_s=480.0, alerts={"first_crack_soon": 1, "below_reference": 3})
    assert busy.alerts_in_ten_minutes == 5.0
    assert replace(busy, duration_s=None).alerts_in_ten_minutes is None
