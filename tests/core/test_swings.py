"""Rises, falls and stalls in rates whose course is written here."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from roastside.core.swings import FallWatch, RiseWatch, StallWatch

Rate = Callable[[float], float]


def steady(at_s: float) -> float:
    """20 °C/min, 2 °C/min less every minute."""
    return 20.0 - 2.0 * at_s / 60.0


def with_dip(
    at_s: float, depth: float = 4.0, from_s: float = 300.0, lasts_s: float = 20.0
) -> float:
    """The steady decline, going down by `depth` within `lasts_s` and up again in as long."""
    into = (at_s - from_s) / lasts_s
    return steady(at_s) - depth * max(0.0, min(into, 2.0 - into))


def bumpy(at_s: float) -> float:
    """Up 3 °C/min between 200 and 240 s, then down again."""
    return steady(at_s) + 3.0 * max(0.0, min((at_s - 200.0) / 40.0, (280.0 - at_s) / 40.0))


def seconds(until_s: int) -> list[float]:
    return [float(at_s) for at_s in range(until_s)]


def risen(rate: Rate, sd: float = 0.0, chance_sds: float = 0.0) -> RiseWatch:
    watch = RiseWatch(chance_sds)
    for at_s in seconds(600):
        watch.update(at_s, rate(at_s), sd)
    return watch


def fallen(rate: Rate, sd: float = 0.0, counts: bool = True) -> tuple[FallWatch, float | None]:
    """The watch after 500 s, and when it first stood; falls count from 120 s on, or never."""
    watch, first_s = FallWatch(), None
    for at_s in seconds(500):
        watch.update(at_s, rate(at_s), sd, counts and at_s >= 120.0)
        if watch.standing and first_s is None:
            first_s = at_s
    return watch, first_s


def test_the_first_climb_is_no_rise_but_gives_the_peak() -> None:
    watch = RiseWatch()
    for at_s in seconds(400):
        watch.update(at_s, min(0.2 * at_s, 23.0 - at_s / 60.0 * 2.0), 0.0)
        assert not watch.standing
    assert watch.peak is not None
    # The two lines meet where 0.2 t = 23 - t/30, at 98.6 s.
    assert watch.peak[0] == pytest.approx(98.6, abs=1.0)
    assert watch.peak[1] == pytest.approx(19.7, abs=0.1)


def test_a_rise_is_told_from_its_bottom_to_its_top() -> None:
    watch = risen(bumpy)
    assert (watch.from_s, watch.to_s) == (200.0, 240.0)
    assert watch.size == pytest.approx(bumpy(240.0) - bumpy(200.0))
    assert not watch.standing


def test_a_rise_that_the_uncertainty_may_explain_is_not_told() -> None:
    # It rises by 1.67; two and a half standard deviations of a difference of two are 3.5 of one.
    assert risen(bumpy, sd=0.4).size > 0.0
    assert risen(bumpy, sd=0.5).size == 0.0


def test_what_chance_adds_is_taken_off_a_rise() -> None:
    plain, careful = risen(bumpy, sd=0.1), risen(bumpy, sd=0.1, chance_sds=1.0)
    assert plain.size - careful.size == pytest.approx(0.1 * 2.0**0.5)


def test_a_sudden_fall_is_told_before_it_is_over_and_measured_against_the_decline() -> None:
    watch, first_s = fallen(with_dip)
    assert first_s is not None and 310.0 <= first_s <= 320.0
    assert (watch.from_s, watch.to_s) == (300.0, 320.0)
    assert watch.size == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize("per_minute", [0.0, 1.0, 2.0, 4.0])
def test_a_steady_decline_is_no_sudden_fall_however_steep(per_minute: float) -> None:
    assert fallen(lambda at_s: 30.0 - per_minute * at_s / 60.0)[1] is None


def test_a_decline_that_grows_slowly_is_no_sudden_fall() -> None:
    # From none to 6 °C/min a minute within five minutes.
    assert fallen(lambda at_s: 25.0 - 0.5 * 6.0 / 5.0 * (at_s / 60.0) ** 2)[1] is None


def test_a_small_an_unsure_or_a_distant_fall_is_not_told() -> None:
    assert fallen(lambda at_s: with_dip(at_s, depth=1.8))[1] is None
    assert fallen(with_dip, sd=1.2)[1] is None
    assert fallen(with_dip, counts=False)[1] is None


def test_beans_that_fall_out_are_no_sudden_fall() -> None:
    """Until the drop is known its fall is seen, for two seconds here; then nobody asks."""
    watch = FallWatch()
    for at_s in seconds(303):
        rate = steady(at_s) if at_s < 300.0 else steady(at_s) - 15.0 * (at_s - 299.0)
        watch.update(at_s, rate, 0.3, True)
    assert not watch.standing


def test_a_stall_is_told_after_twenty_seconds_with_its_lowest_rate() -> None:
    watch, first_s = StallWatch(), None
    for at_s in seconds(200):
        rate = 5.0 if at_s < 100.0 or at_s > 140.0 else -0.5 + abs(at_s - 120.0) / 40.0
        watch.update(at_s, rate, 0.3)
        if watch.standing and first_s is None:
            first_s = at_s
    assert first_s == 120.0
    assert (watch.from_s, watch.to_s, watch.size) == (100.0, 140.0, -0.5)
    assert not watch.standing


def test_a_slow_roast_is_no_stall() -> None:
    watch = StallWatch()
    for at_s in seconds(300):
        watch.update(at_s, 2.0, 0.3)
    assert not watch.standing


def test_a_rate_that_may_well_be_above_the_limit_is_no_stall() -> None:
    watch = StallWatch()
    for at_s in seconds(300):
        watch.update(at_s, 1.0, 0.8)
    assert not watch.standing
