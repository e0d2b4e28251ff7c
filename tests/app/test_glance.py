"""The glance line: five figures in fixed places, and what they say through a roast."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from roastside.app.draw.figures import draw_figures
from roastside.app.glance import figures, stage_bar
from roastside.app.moment import Moment
from roastside.app.widgets.figures import Figure
from roastside.core.plan import RoastPlan
from roastside.core.units import CELSIUS, FAHRENHEIT
from tests.app.views import moment

MOMENTS = (5.0, 40.0, 120.0, 340.0, 560.0, 610.0, 690.0, 720.0)


def said(until_s: float, **changes: object) -> list[str]:
    shown = figures(moment(until_s, **changes), CELSIUS)  # type: ignore[arg-type]
    return [f"{figure.caption}: {figure.text}" for figure in shown]


def test_in_preheat_only_the_bean_is_told() -> None:
    assert said(5.0)[0] == "preheat: -:--"
    assert said(5.0)[2] == "rate /min: --"
    assert said(5.0)[4] == "charge: -:--"


def test_before_the_turning_point_the_plunge_is_no_rate_of_rise() -> None:
    assert said(50.0)[2] == "rate /min: --"


def test_in_browning_pace_and_the_coming_crack_are_told() -> None:
    elapsed, bean, rate, pace, coming = said(500.0)
    assert elapsed == "browning: 7:50"
    assert bean.startswith("bean: 18")
    assert rate.startswith("rate ref 7.")
    assert pace.split(":")[0] in ("on time", "ahead", "behind")
    assert re.fullmatch(r"first crack ±\d\d?: 1:\d\d", coming)


def test_how_sure_the_coming_milestone_is_stands_beside_it_where_that_is_worth_telling() -> None:
    at = moment(500.0)
    crack = at.view.forecasts["first_crack"]

    def caption(half_80_s: float, later_s: float = 0.0) -> str:
        at_s = crack.at_s + later_s
        told = replace(crack, at_s=at_s, low_s=at_s - half_80_s, high_s=at_s + half_80_s)
        view = replace(at.view, forecasts={**at.view.forecasts, "first_crack": told})
        return figures(replace(at, view=view), CELSIUS)[4].caption

    # Four in five lie within 1.28 standard deviations, nine in ten within 1.64.
    assert caption(9.4) == "first crack ±12"
    assert caption(1.0) == "first crack in"
    assert caption(9.4, later_s=60.0) == "first crack in"


def test_after_first_crack_its_timer_share_and_countdown_are_told() -> None:
    elapsed, *_, coming = said(631.5)
    assert elapsed == "since crack 0:40: 10:02"
    assert coming.startswith("drop in, 6.6 %: 1:1")


def test_without_a_target_the_time_since_crack_is_counted_up() -> None:
    assert said(631.5, reference=False)[4] == "since crack 6.6 %: 0:40"
    with_target = said(631.5, reference=False, plan=RoastPlan(development_s=60.0))
    assert with_target[4] == "drop in, 6.6 %: 0:20"


def test_past_the_target_it_says_drop_now_with_a_sign() -> None:
    late = figures(moment(700.0, plan=RoastPlan(development_s=60.0)), CELSIUS)[4]
    assert late.caption.startswith("▲ drop now")
    assert late.text.startswith("−0:")
    assert late.tone == "bad"


def test_after_the_drop_nothing_unknown_takes_room_and_elapsed_stands_still() -> None:
    assert [figure.split(": ")[-1] for figure in said(715.0)][2:4] == ["", ""]
    assert said(715.0)[0].split(": ")[-1] == said(730.0)[0].split(": ")[-1]
    assert said(715.0)[4].startswith("development 16.5 %: 1:51")


def test_an_old_reading_is_not_shown_as_if_it_were_now() -> None:
    bean = figures(moment(500.0, late_s=6.0), CELSIUS)[1]
    assert (bean.caption, bean.text, bean.tone) == ("▲ bean 6 s old", "--", "bad")


def test_with_no_news_of_the_beans_no_figure_goes_on_as_if_there_were() -> None:
    _, bean, rate, pace, coming = said(500.0, late_s=8.0)
    assert bean == "▲ bean 8 s old: --"
    assert (rate, pace) == ("rate /min: --", "ahead, behind: --")
    assert coming == "first crack in: --"
    # Since first crack the clock alone tells how long it is.
    assert said(631.5, late_s=8.0)[4].startswith("drop in, 7.9 %: 1:0")


def test_fahrenheit_is_shown_where_it_is_asked_for() -> None:
    celsius, fahrenheit = (figures(moment(500.0), d)[1] for d in (CELSIUS, FAHRENHEIT))
    assert fahrenheit.unit == "°F"
    assert float(fahrenheit.text) == pytest.approx(float(celsius.text) * 1.8 + 32.0, abs=1.5)


@pytest.mark.parametrize("width", [80, 160])
def test_figures_keep_their_places_through_the_roast(width: int) -> None:
    starts = set()
    for until_s in (340.0, 500.0, 560.0, 610.0, 690.0):
        row = draw_figures(figures(moment(until_s), CELSIUS), width, 6).text()[0]
        starts.add((row.index("bean"), row.index("rate ref")))
    assert len(starts) == 1


def test_the_stage_bar_tells_both_roasts() -> None:
    bar = stage_bar(moment(620.0))
    assert [stage.name for stage in bar.stages] == ["drying", "browning", "development"]
    assert sum(stage.seconds for stage in bar.stages) == pytest.approx(590.0, abs=0.5)
    assert [stage.name for stage in bar.reference] == ["drying", "browning", "development"]
    assert stage_bar(moment(5.0)).stages == ()


def paced(ahead_s: float, sd_s: float) -> Figure:
    """The figure of the pace, so many seconds ahead, give or take."""
    at = moment(500.0)
    assert at.view.last is not None
    last = replace(at.view.last, ahead_s=ahead_s, ahead_sd_s=sd_s)
    return figures(Moment(replace(at.view, last=last), 500.0, at.plan, at.reference), CELSIUS)[3]


@pytest.mark.parametrize(
    ("ahead_s", "sd_s", "caption", "tone"),
    [
        (4.0, 0.5, "ahead", "good"),
        # 90 % of a normal distribution lie within 1.645 standard deviations.
        (4.0, 2.0, "ahead ±3", "good"),
        (-12.0, 1.9, "▼ behind ±3", "warn"),
        (-12.0, 3.0, "behind ±5", "good"),
    ],
)
def test_pace_tells_how_uncertain_it_is_and_warns_only_of_what_is_sure(
    ahead_s: float, sd_s: float, caption: str, tone: str
) -> None:
    figure = paced(ahead_s, sd_s)
    assert (figure.caption, figure.tone) == (caption, tone)
