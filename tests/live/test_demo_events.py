"""The demo: a whole roast over a real line, the same every time."""

from __future__ import annotations

from pathlib import Path

from tests.live.running import named, run


def test_the_demo_tells_the_same_to_the_byte_every_time(tmp_path: Path) -> None:
    first = run("demo", "--events", home=tmp_path)
    assert (first.code, first.err) == (0, "")
    assert run("demo", "--events", home=tmp_path) == first

    assert {event["event"] for event in first.events} >= {"sample", "mark", "forecast", "alert"}
    summary = first.events[-1]
    assert summary["event"] == "summary"
    assert summary["readings"] == len(named(first.events, "sample"))
    assert summary["missing"] == 0
    assert list(summary["marks"]) == ["charge", "turning_point", "yellowing", "first_crack", "drop"]
    assert named(first.events, "gap") == []
    # The demo's heat is cut too early and put back: that is what there is to see.
    assert {"leaving_low", "below_reference", "behind_reference"} & set(summary["alerts"])
