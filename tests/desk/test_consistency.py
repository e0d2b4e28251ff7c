"""The repeats of a reference: how they spread, and what drifts, in figures and in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.book.versions import version_titled
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.desk.consistency import Consistency, consistency
from roastside.desk.consistency_command import consistency_text
from tests.book.homes import home_of, write_roast, write_version
from tests.desk.shop import TITLE, shop
from tests.live.running import run_here


def of(folder: Path, repeats: int, drop_c_a_week: float = 0.0) -> Consistency:
    with shop(folder, repeats, drop_c_a_week) as book:
        version = version_titled(book, TITLE)
        assert version is not None
        return consistency(book, version.id)


def test_the_spread_of_each_figure(tmp_path: Path) -> None:
    found = of(tmp_path, 20)
    by_column = {spread.quantity.column: spread for spread in found.spreads}
    assert set(by_column) == {"total_s", "development_share", "drop_c"}
    total = by_column["total_s"]
    # By hand: deviations of 4 s times -1, 0.5, 1, -0.5, 0, four times; 40 s² each time, over 19.
    assert (total.count, total.mean, total.low, total.high) == (20, 670.0, 666.0, 674.0)
    assert total.sd == pytest.approx((4 * 40.0 / 19) ** 0.5)
    assert found.within_share == pytest.approx(0.9)


def test_a_drift_is_told_in_words(tmp_path: Path) -> None:
    words = of(tmp_path, 20, drop_c_a_week=0.3).words()
    assert "inside the corridor for 90 %" in words[0]
    assert words[1:] == [
        "Drop temperature creeps up by 0.3 °C a week (by chance: less than 0.1 %)."
    ]


def test_a_drift_in_fahrenheit_and_downwards(tmp_path: Path) -> None:
    words = of(tmp_path, 20, drop_c_a_week=-0.5).words(FAHRENHEIT)
    assert words[1].startswith("Drop temperature creeps down by 0.9 °F a week")


def test_what_only_jitters_is_said_not_to_drift(tmp_path: Path) -> None:
    assert of(tmp_path, 20).words()[1:] == ["Nothing drifts by more than chance would do."]


@pytest.mark.parametrize(("repeats", "counted"), [(0, "no repeats"), (1, "1 repeat"), (4, "4 rep")])
def test_too_few_repeats_are_no_statistics(tmp_path: Path, repeats: int, counted: str) -> None:
    found = of(tmp_path, repeats)
    assert found.spreads == ()
    assert counted in found.words()[0]
    assert len(consistency_text(found, CELSIUS).splitlines()) == 1


def test_the_table_is_aligned_and_marks_what_is_sure(tmp_path: Path) -> None:
    lines = consistency_text(of(tmp_path, 20, 0.3), CELSIUS).splitlines()
    drop = next(line for line in lines if line.startswith("Drop temperature  "))
    total = next(line for line in lines if line.startswith("Total time"))
    assert drop.endswith("+0.30 °C *")
    assert "11:10" in total
    assert not total.endswith("*")
    assert max(map(len, lines)) <= 80, "it fits an ordinary terminal"


def test_the_command_and_a_reference_nobody_knows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    home = home_of(tmp_path)
    write_version(home, 3)
    for day in range(6):
        write_roast(home, f"{day}.csv", started_at=f"2026-03-{10 + day}T07:00:00+01:00")
    done = run_here("consistency", TITLE, home=tmp_path, patch=monkeypatch, streams=capfd)
    assert (done.code, done.err) == (0, "")
    assert "6 repeats" in done.out
    lost = run_here("consistency", "Moon v1", home=tmp_path, patch=monkeypatch, streams=capfd)
    assert lost.code == 2
    assert TITLE in lost.sentence
