"""Wild readings told from a curve that is elsewhere. Every truth is computed here."""

from __future__ import annotations

from roastside.core.gate import Gate, Verdict

QUIET = 0.01
"""Variance of what is expected, °C²: half a degree is five standard deviations."""


def test_a_reading_near_what_was_expected_is_believed() -> None:
    assert Gate().judge(0.0, 100.4, 0.4, QUIET) is Verdict.BELIEVED


def test_wild_readings_that_do_not_agree_are_never_believed() -> None:
    gate = Gate()
    verdicts = [gate.judge(0.5 * k, 100.0 + off, off, QUIET) for k, off in enumerate((9, -9) * 20)]
    assert set(verdicts) == {Verdict.WILD}


def test_readings_that_insist_for_a_second_and_a_half_tell_where_the_curve_is() -> None:
    gate = Gate()
    verdicts = [gate.judge(0.5 * k, 120.0 + k, 20.0 + k, QUIET) for k in range(4)]
    assert verdicts == [Verdict.WILD] * 3 + [Verdict.ELSEWHERE]
    assert gate.slope_c_per_s == 2.0


def test_what_was_believed_and_then_lies_elsewhere_leapt() -> None:
    gate = Gate()
    verdicts = [
        gate.judge(0.5 * k, 100.0 + off, off, QUIET) for k, off in enumerate([0.2] + [5] * 4)
    ]
    assert verdicts == [Verdict.BELIEVED] + [Verdict.WILD] * 3 + [Verdict.LEAPT]


def insisting(every_s: float, until_s: float) -> list[Verdict]:
    """What is told of readings that lie elsewhere every so often, where it is then expected."""
    gate, found = Gate(), []
    for k in range(round(2.0 * until_s)):
        off = 5.0 if k % round(2.0 * every_s) in (1, 2, 3, 4) else 0.0
        found.append(gate.judge(0.5 * k, 100.0 + off, off, QUIET))
    return [verdict for verdict in found if verdict not in (Verdict.BELIEVED, Verdict.WILD)]


def test_what_insists_for_the_fifth_time_in_a_minute_and_a_half_swings() -> None:
    assert insisting(every_s=12.0, until_s=60.0) == [Verdict.LEAPT] * 4 + [Verdict.ADRIFT]


def test_what_does_so_every_half_minute_leaps() -> None:
    assert insisting(every_s=30.0, until_s=240.0) == [Verdict.LEAPT] * 8


def test_readings_that_stray_step_by_step_did_not_leap() -> None:
    gate = Gate()
    verdicts = [gate.judge(0.5 * k, 100.0 + k / 8.0, k / 8.0, QUIET) for k in range(1, 9)]
    assert verdicts == [Verdict.BELIEVED] * 4 + [Verdict.WILD] * 3 + [Verdict.ELSEWHERE]


def test_nor_did_what_lies_behind_a_silence() -> None:
    gate = Gate()
    assert gate.judge(0.0, 100.4, 0.4, QUIET) is Verdict.BELIEVED
    verdicts = [gate.judge(10.0 + 0.5 * k, 100.6, 0.6, QUIET) for k in range(4)]
    assert verdicts == [Verdict.WILD] * 3 + [Verdict.ELSEWHERE]


def leaps(offs: list[float], long_run: float = 1.0, scatter: float = 0.01) -> list[bool]:
    gate = Gate()
    return [gate.leaps(0.5 * k, off, long_run, scatter) for k, off in enumerate(offs)]


def test_where_errors_last_a_leap_is_a_spike_twice_in_a_row_at_most() -> None:
    assert leaps([0.0, 3.0, 0.1]) == [False, True, False]
    assert leaps([0.0, 3.0, 3.0, 3.0, 3.0]) == [False, True, True, False, False]


def test_where_errors_come_one_by_one_or_long_after_each_other_there_are_no_leaps() -> None:
    assert not any(leaps([0.0, 3.0, 0.1], long_run=0.01))
    gate = Gate()
    assert not any(gate.leaps(5.0 * k, off, 1.0, 0.01) for k, off in enumerate((0.0, 3.0, 0.0)))
