"""Contract 4: what `replay FILE --events` writes, read as an outside program reads it."""

from __future__ import annotations

import csv
import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from tests.live.running import (
    AS_MODULE,
    FIXTURES,
    HOUSE,
    PATIENCE_S,
    Done,
    environment,
    named,
    posix_only,
    run,
)

ALWAYS = {"event", "time_s", "elapsed_s"}
SAMPLE = {"bean_c", "air_c", "rate_c_per_min", "rate_sd", "stage"}
AGAINST = {"reference_bean_c", "reference_rate_c_per_min", "deviation_c", "ahead_s"}
KEYS = {
    "sample": SAMPLE | AGAINST,
    "mark": {"mark", "at_s", "source"},
    "forecast": {"milestone", "at_s", "low_s", "high_s"},
    "alert": {"alert", "family", "priority", "state", "message"},
    "gap": {"from_s", "to_s", "reason"},
    "summary": {
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
}
"""The keys of contract 4, written out here once more."""

WORDS = {
    ("sample", "stage"): {"preheat", "drying", "browning", "development", "cooling"},
    ("mark", "source"): {"auto", "hand", "file"},
    ("alert", "family"): {"deviation", "timing", "probe", "safety", "recording"},
    ("alert", "priority"): {"low", "medium", "high", "critical"},
    ("alert", "state"): {"raised", "cleared", "acknowledged"},
}

UNPLUGGED = FIXTURES / "house-probe-unplugged.csv"
SLOW = FIXTURES / "house-slow-browning.csv"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module", params=[UNPLUGGED, SLOW], ids=lambda path: path.stem)
def file(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


@pytest.fixture(scope="module")
def replayed(file: Path, home: Path) -> Done:
    done = run("replay", file, "--reference", HOUSE, "--speed", "max", "--events", home=home)
    assert done.code == 0, done.err
    return done


@pytest.fixture(scope="module")
def plain(home: Path) -> Done:
    return run("replay", UNPLUGGED, "--events", home=home)


@pytest.fixture(scope="module")
def slow(home: Path) -> Done:
    return run("replay", SLOW, "--reference", HOUSE, "--events", home=home)


def near(value: float) -> object:
    """The same number in an event: each is rounded to a thousandth, sums of three to three."""
    return pytest.approx(value, abs=0.002)


def rows(file: Path) -> list[dict[str, str]]:
    """The rows of a roast file as any program reads them (RFC 4180 below `#` lines)."""
    lines = file.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def marks_of(file: Path) -> dict[str, float]:
    """Stream time of each mark; a later row replaces an earlier."""
    return {row["mark"]: float(row["time_s"]) for row in rows(file) if row["mark"]}


def test_every_event_has_the_keys_and_words_of_the_contract(replayed: Done) -> None:
    for event in replayed.events:
        keys = set(event) - ({"value", "note"} if event["event"] == "mark" else set())
        assert keys == ALWAYS | KEYS[event["event"]]
    for (name, key), words in WORDS.items():
        assert {event[key] for event in named(replayed.events, name)} <= words


def test_without_a_reference_samples_say_nothing_of_one(plain: Done) -> None:
    assert {frozenset(s) for s in named(plain.events, "sample")} == {frozenset(ALWAYS | SAMPLE)}
    assert "deviation" not in {alert["family"] for alert in named(plain.events, "alert")}


def test_there_is_one_sample_for_each_reading_in_the_order_of_the_file(
    replayed: Done, file: Path
) -> None:
    wanted = [
        (float(row["time_s"]), float(row["bean_c"]), float(row["air_c"]))
        for row in rows(file)
        if row["bean_c"]
    ]
    samples = named(replayed.events, "sample")
    assert [(s["time_s"], s["bean_c"], s["air_c"]) for s in samples] == wanted


def test_elapsed_time_is_null_before_charge_and_counts_from_it(replayed: Done, file: Path) -> None:
    charge_s = marks_of(file)["charge"]
    samples = named(replayed.events, "sample")
    assert samples[0]["elapsed_s"] is None
    assert samples[-1]["elapsed_s"] == pytest.approx(samples[-1]["time_s"] - charge_s, abs=0.001)


def test_the_summary_is_the_last_line_and_agrees_with_the_file(replayed: Done, file: Path) -> None:
    (summary,) = named(replayed.events, "summary")
    assert replayed.events[-1] == summary
    marks = marks_of(file)
    for name in ("charge", "turning_point", "first_crack", "drop"):
        assert summary["marks"][name] == near(marks[name] - marks["charge"])
    assert summary["duration_s"] == near(marks["drop"] - marks["charge"])
    assert summary["development_s"] == near(marks["drop"] - marks["first_crack"])
    share = summary["development_s"] / summary["duration_s"]
    assert summary["development_ratio"] == near(share)
    stages = summary["stages"]
    assert list(stages) == ["drying", "browning", "development"]
    assert sum(stage["seconds"] for stage in stages.values()) == near(summary["duration_s"])
    assert sum(stage["share"] for stage in stages.values()) == near(1.0)
    assert summary["readings"] == len(named(replayed.events, "sample"))
    assert summary["missing"] == 0


def test_the_summary_counts_the_alerts_that_were_raised(replayed: Done) -> None:
    raised = [a["alert"] for a in named(replayed.events, "alert") if a["state"] == "raised"]
    assert replayed.events[-1]["alerts"] == {alert: raised.count(alert) for alert in raised}


def test_the_greatest_deviation_of_the_summary_is_one_that_was_told(slow: Done) -> None:
    told = [abs(s["deviation_c"]) for s in named(slow.events, "sample") if s["deviation_c"]]
    greatest = abs(slow.events[-1]["max_deviation_c"])
    assert greatest > 2.0
    assert min(abs(deviation - greatest) for deviation in told) <= 0.001


def test_a_milestone_is_forecast_at_most_once_a_second_inside_its_interval(replayed: Done) -> None:
    forecasts = named(replayed.events, "forecast")
    milestones = {forecast["milestone"] for forecast in forecasts}
    assert "first_crack" in milestones
    for milestone in milestones:
        own = [forecast for forecast in forecasts if forecast["milestone"] == milestone]
        assert all(later["time_s"] - one["time_s"] >= 1.0 for one, later in pairwise(own))
        assert all(f["low_s"] <= f["at_s"] <= f["high_s"] for f in own)


def test_a_silence_in_the_file_is_a_gap_and_a_probe_alert(plain: Done) -> None:
    times = [float(row["time_s"]) for row in rows(UNPLUGGED) if row["bean_c"]]
    before_s, after_s = max(pairwise(times), key=lambda pair: pair[1] - pair[0])
    (gap,) = named(plain.events, "gap")
    assert (gap["from_s"], gap["to_s"]) == (before_s, after_s)
    assert gap["reason"]
    silent = [a for a in named(plain.events, "alert") if a["family"] == "probe"]
    assert [alert["state"] for alert in silent] == ["raised", "cleared"]
    assert before_s < silent[0]["time_s"] < after_s


def test_words_for_people_go_to_stderr_only(replayed: Done, file: Path) -> None:
    assert all(line.startswith("{") for line in replayed.out.splitlines())
    told = replayed.err.splitlines()
    assert all(line.startswith("roastside: ") for line in told)
    assert len(told) == (2 if file == UNPLUGGED else 0)


@posix_only
def test_a_person_at_a_terminal_is_told_at_the_end_how_often_alerts_came(
    home: Path, slow: Done
) -> None:
    person, terminal = os.openpty()
    try:
        done = subprocess.run(
            [sys.executable, *AS_MODULE, "replay", SLOW, "--reference", HOUSE, "--events"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=terminal,
            encoding="utf-8",
            env=environment(home),
            timeout=PATIENCE_S,
        )
        told = os.read(person, 4096).decode()
    finally:
        os.close(person)
        os.close(terminal)
    assert done.stdout == slow.out
    count = sum(slow.events[-1]["alerts"].values())
    assert re.fullmatch(
        rf"roastside: \S*{SLOW.name}: {count} alerts, \d+\.\d in ten minutes\r\n", told
    )


def test_a_wider_corridor_raises_no_alert_for_leaving_it(slow: Done, home: Path) -> None:
    corridor = ("--tolerance", 30, "--tolerance-s", 200)
    wide = run("replay", SLOW, "--reference", HOUSE, *corridor, "--events", home=home)
    missed = set(slow.events[-1]["alerts"]) - set(wide.events[-1]["alerts"])
    assert missed == {"below_reference", "leaving_low"}


def test_the_speed_changes_the_pace_and_nothing_else(
    home: Path, replayed: Done, file: Path
) -> None:
    paced = run("replay", file, "--reference", HOUSE, "--speed", 4000, "--events", home=home)
    assert paced == replayed


@posix_only
@pytest.mark.parametrize("closed", ["<&-", "<&- 2>&-"])
def test_closed_streams_change_nothing(closed: str, home: Path, slow: Done) -> None:
    again = run("replay", SLOW, "--reference", HOUSE, "--events", home=home, closed=closed)
    assert again == slow


def test_escapes_in_a_file_reach_nobody_raw(tmp_path: Path) -> None:
    file = tmp_path / ("odd.csv" if sys.platform == "win32" else "odd\x1b[31m.csv")
    file.write_text(
        "# title: \x1b]0;owned\x07\ntime_s,bean_c,mark,note\n"
        "0,200,,\n1,200,comment,\x1b[2Jgone \x9b5m\n2,200,\x1b[1mcharge,\n9,199,,\n"
    )
    for arguments in (("replay", file), ("replay", file, "--reference", file)):
        done = run(*arguments, "--events", home=tmp_path)
        assert not {"\x1b", "\x07", "\x9b"} & set(done.out + done.err)
        assert done.out + done.err
