"""The command `compare`: two files in, plain text out."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from tests.live.running import FIXTURES, HOUSE, Done, run, run_here

SLOW = FIXTURES / "house-slow-browning.csv"
REPEAT = FIXTURES / "house-good-repeat-1.csv"


@pytest.fixture
def here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., Done]:
    """Runs the command inside this process."""
    return partial(run_here, "compare", home=tmp_path, patch=monkeypatch, streams=capfd)


def blocks(done: Done) -> list[list[str]]:
    """The paragraphs of the answer, as lines."""
    assert done.code == 0, done.err
    return [block.splitlines() for block in done.out.strip().split("\n\n")]


def test_a_slow_browning_is_told_as_one(here: Callable[..., Done]) -> None:
    differences, _, shape = blocks(here(HOUSE, SLOW))
    head, *told = differences
    assert head == (
        "House espresso, batch 14 (house-slow-browning.csv) against "
        "House espresso v3 (house-espresso-v3.csv):"
    )
    assert told[0].startswith("  Browning 4") and told[0].endswith("°C/min less.")
    assert any(line.startswith("  First crack 4") and "later" in line for line in told)
    assert not any("Drying" in line or "Turning" in line for line in told)
    assert shape[0] == "House espresso, batch 14 (house-slow-browning.csv):"


@pytest.mark.parametrize(
    "name",
    [
        "house-good-repeat-1.csv",
        "house-spikes.csv",
        "house-coarse-probe.csv",
        "house-probe-unplugged.csv",
        "house-probe-open.csv",
        "house-probe-stuck.csv",
    ],
)
def test_a_good_repeat_is_about_the_same_whatever_the_probe_did(
    name: str, here: Callable[..., Done]
) -> None:
    differences, _, shape = blocks(here(HOUSE, FIXTURES / name))
    assert differences[1:] == ["  About the same."]
    assert not any("Stall" in line for line in shape)


def test_degrees_are_those_asked_for(here: Callable[..., Done]) -> None:
    files = (HOUSE, FIXTURES / "house-cold-charge.csv")
    celsius, fahrenheit = here(*files).out, here(*files, "--unit", "F").out
    cooler = [re.search(r"Charged ([\d.]+) °[CF] cooler", text) for text in (celsius, fahrenheit)]
    assert cooler[0] is not None and cooler[1] is not None
    assert float(cooler[1][1]) == pytest.approx(1.8 * float(cooler[0][1]), abs=0.15)
    assert "°F" not in celsius and "°C" not in fahrenheit


def test_marks_that_no_one_made_are_found(here: Callable[..., Done], tmp_path: Path) -> None:
    bare = tmp_path / "bare.csv"
    rows = HOUSE.read_text(encoding="utf-8").splitlines()
    table = [row for row in rows if not row.startswith("#")]
    bare.write_text("\n".join(row for row in table if row.split(",")[3] in ("", "mark")) + "\n")
    differences, *_ = blocks(here(HOUSE, bare))
    assert differences == [
        "bare (bare.csv) against House espresso v3 (house-espresso-v3.csv):",
        "  About the same.",
        "  First crack is not marked in bare (bare.csv).",
    ]


def test_readings_that_are_not_to_be_trusted_are_told_of(here: Callable[..., Done]) -> None:
    done = here(HOUSE, FIXTURES / "house-fahrenheit.csv")
    assert done.code == 0
    assert "batch 25" in done.sentence and "seem to be in °F" in done.sentence


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (None, "is not there"),
        ("time,temp\n1,2\n", "time_s"),
        ("time_s,bean_c\n0,20\n1,20\n2,20\n", "has no charge"),
        (
            "time_s,bean_c,mark\n0,200,charge\n1,180,\n2,170,\n3,160,\n",
            "less than a minute of readings",
        ),
    ],
)
def test_what_is_no_roast_is_refused_in_a_sentence(
    content: str | None, reason: str, here: Callable[..., Done], tmp_path: Path
) -> None:
    file = tmp_path / "x.csv"
    if content is not None:
        file.write_text(content)
    for pair in ((HOUSE, file), (file, HOUSE)):
        done = here(*pair)
        assert (done.code, done.out) == (2, "")
        assert "x.csv" in done.sentence and reason in done.sentence


def test_it_works_as_a_program_too(tmp_path: Path) -> None:
    done = run("compare", HOUSE, REPEAT, home=tmp_path)
    assert (done.code, done.err) == (0, "")
    assert "About the same." in done.out
    assert list(tmp_path.iterdir()) == []
