"""What is said of two roasts side by side; every difference is made here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roastside.core.finished import FinishedRoast
from roastside.core.side_by_side import Moment, RoastFigures, StageFigures, comparison_words
from roastside.core.units import FAHRENHEIT
from tests.core.roasts import Probe, Truth, readings

HOUSE = RoastFigures(
    title="House v3",
    charge_c=205.0,
    moments={
        "charge": Moment(0.0, 205.0),
        "turning_point": Moment(50.0, 90.0),
        "yellowing": Moment(260.0, 150.0),
        "first_crack": Moment(500.0, 196.0),
        "drop": Moment(600.0, 210.0),
    },
    stages={
        "drying": StageFigures(260.0, 17.1),
        "browning": StageFigures(240.0, 11.5),
        "development": StageFigures(100.0, 8.4),
    },
    development_ratio=100.0 / 600.0,
)


def with_moment(name: str, at_s: float, bean_c: float) -> RoastFigures:
    return replace(HOUSE, title="Today", moments={**HOUSE.moments, name: Moment(at_s, bean_c)})


def with_stage(name: str, lasted_s: float, rate: float) -> RoastFigures:
    stages = {**HOUSE.stages, name: StageFigures(lasted_s, rate)}
    return replace(HOUSE, title="Today", stages=stages)


@pytest.mark.parametrize(
    ("today", "words"),
    [
        (with_stage("browning", 260.0, 10.6), "Browning 20 s longer at 0.9 °C/min less."),
        (with_stage("browning", 230.0, 11.5), "Browning 10 s shorter at about the same rate."),
        (with_stage("drying", 262.0, 18.1), "Drying about as long, at 1.0 °C/min more."),
        (with_stage("development", 120.0, 8.9), "Development 20 s longer at 0.5 °C/min more."),
        (with_moment("turning_point", 58.0, 87.5), "Turning point 8 s later, 2.5 °C lower."),
        (with_moment("turning_point", 50.0, 92.0), "Turning point 2.0 °C higher."),
        (with_moment("first_crack", 488.0, 197.5), "First crack 12 s earlier, 1.5 °C hotter."),
        (with_moment("drop", 601.0, 207.0), "Drop 3.0 °C cooler."),
        (replace(HOUSE, charge_c=185.0), "Charged 20.0 °C cooler."),
        (
            replace(HOUSE, development_ratio=0.2),
            "Development ratio 20.0 % instead of 16.7 %.",
        ),
    ],
)
def test_one_difference_is_one_sentence(today: RoastFigures, words: str) -> None:
    assert comparison_words(HOUSE, today) == [words]


@pytest.mark.parametrize(
    "today",
    [
        with_stage("browning", 244.0, 11.7),
        with_moment("first_crack", 504.0, 195.1),
        replace(HOUSE, charge_c=205.9),
        replace(HOUSE, development_ratio=0.175),
    ],
)
def test_nothing_is_said_of_what_is_too_small_to_matter(today: RoastFigures) -> None:
    assert comparison_words(HOUSE, today) == ["About the same."]


def test_differences_come_in_the_order_of_the_roast() -> None:
    today = replace(
        HOUSE,
        charge_c=195.0,
        moments={name: Moment(m.at_s + 9.0, m.bean_c + 2.0) for name, m in HOUSE.moments.items()},
        stages={name: replace(s, lasted_s=s.lasted_s + 9.0) for name, s in HOUSE.stages.items()},
        development_ratio=0.3,
    )
    beginnings = [words.split(" ")[0] for words in comparison_words(HOUSE, today)]
    assert beginnings == [
        "Charged", "Turning", "Drying", "Browning", "First", "Development", "Development", "Drop",
    ]  # fmt: skip


def test_seen_from_the_other_roast_every_difference_turns_round() -> None:
    today = with_stage("browning", 260.0, 10.6)
    assert comparison_words(today, HOUSE) == ["Browning 20 s shorter at 0.9 °C/min more."]


def test_differences_in_fahrenheit_are_nine_fifths_as_large() -> None:
    today = with_moment("first_crack", 488.0, 198.0)
    assert comparison_words(HOUSE, today, FAHRENHEIT) == [
        "First crack 12 s earlier, 3.6 °F hotter."
    ]


def test_what_cannot_be_compared_is_said() -> None:
    moments = {name: m for name, m in HOUSE.moments.items() if name != "first_crack"}
    stages = {"drying": HOUSE.stages["drying"]}
    today = replace(HOUSE, title="Today", moments=moments, stages=stages, development_ratio=None)
    lacking = "First crack is not marked in Today."
    assert comparison_words(HOUSE, today) == ["About the same.", lacking]
    both = comparison_words(replace(today, title="House v3"), today)
    assert both[-1] == "First crack is not marked in House v3 nor in Today."


def test_figures_are_read_off_the_curve_at_the_marks() -> None:
    elapsed_s = np.arange(0.0, 601.0, 2.0)
    # Down from 200 to 80 within a minute, then 12 °C/min to 480 s and 6 °C/min to the end.
    bean_c = np.interp(elapsed_s, [0.0, 60.0, 480.0, 600.0], [200.0, 80.0, 164.0, 176.0])
    marks = {
        "charge": 0.0, "turning_point": 60.0, "yellowing": 410.0, "first_crack": 480.0,
        "drop": 600.0,
    }  # fmt: skip
    found = RoastFigures.from_curve("house", elapsed_s, bean_c, marks)
    assert found.moments["yellowing"] == Moment(410.0, pytest.approx(150.0))
    assert found.stages["drying"] == StageFigures(410.0, pytest.approx(12.0))
    assert found.stages["browning"] == StageFigures(70.0, pytest.approx(12.0))
    assert found.stages["development"] == StageFigures(120.0, pytest.approx(6.0))
    assert found.development_ratio == 0.2


@pytest.mark.parametrize(
    ("marks", "stages"),
    [
        ({"yellowing": 250.0}, {"drying"}),
        ({"yellowing": 250.0, "drop": 600.0}, {"drying"}),
        ({"first_crack": 480.0, "drop": 600.0}, {"development"}),
        ({"yellowing": 500.0, "first_crack": 480.0, "drop": 600.0}, {"drying", "development"}),
    ],
)
def test_a_stage_without_both_its_ends_in_order_has_no_figures(
    marks: dict[str, float], stages: set[str]
) -> None:
    elapsed_s = np.arange(0.0, 601.0)
    known = {"charge": 0.0, "turning_point": 60.0, **marks}
    assert set(RoastFigures.from_curve("x", elapsed_s, elapsed_s, known).stages) == stages


@pytest.mark.parametrize("probe", [Probe(0.25, seed=1), Probe(1.0, seed=2), Probe(2.0, 0.3, 1.0)])
def test_the_same_roast_seen_by_another_probe_is_about_the_same(probe: Probe) -> None:
    truth = Truth(limit_c=270.0)
    marks = {"charge": 40.0, "yellowing": 280.0, "first_crack": 540.0, "drop": 660.0}
    roasts = (
        FinishedRoast.from_readings("house", readings(truth, seen), marks)
        for seen in (Probe(0.5, seed=3), probe)
    )
    first, second = (
        RoastFigures.of(replace(roast, marks={**roast.marks, "turning_point": 50.0}))
        for roast in roasts
    )
    assert comparison_words(first, second) == ["About the same."]


def test_a_stage_is_longer_by_what_the_clocks_beside_it_say() -> None:
    # 1:36 and 4:29 stand beside it, which are 173 s apart; unrounded it is 173.8.
    told = comparison_words(with_stage("drying", 95.6, 17.1), with_stage("drying", 269.4, 17.1))
    assert "Drying 173 s longer at about the same rate." in told
