"""The lag-corrected curve: what is drawn, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roastside.app.curves import whole
from roastside.app.moment import Moment
from roastside.app.telling import lag_words
from roastside.app.widgets.chart import Series
from roastside.core.lag import Lag, NoLag, worth
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from tests.app.views import moment

TAU_S = 15.0
BEANS_AFTER_S = 12.0


def known(at_s: float = 400.0, over: bool = False) -> Moment:
    """A roast whose probe's lag is known."""
    now = moment(at_s, over=over)
    assert now.view.charge_s is not None
    lag = Lag(TAU_S, 1.0, now.view.charge_s + BEANS_AFTER_S)
    return replace(now, view=replace(now.view, lag=lag))


def curves(now: Moment, degrees: Degrees = CELSIUS, without_lag: bool = True) -> dict[str, Series]:
    return {series.name: series for series in whole(now, degrees, without_lag).series}


def test_it_is_drawn_when_it_is_wanted_and_known() -> None:
    assert "lag-corrected" in curves(known())
    assert "lag-corrected" not in curves(known(), without_lag=False)
    assert "lag-corrected" not in curves(moment(400.0))
    unknown = moment(400.0)
    unknown = replace(unknown, view=replace(unknown.view, lag=NoLag("No plunge.")))
    assert "lag-corrected" not in curves(unknown)
    assert "lag-corrected" not in curves(moment(10.0)), "before charge"


@pytest.mark.parametrize("degrees", [CELSIUS, FAHRENHEIT])
def test_it_is_the_bean_curve_and_what_the_rate_adds_within_the_lag(degrees: Degrees) -> None:
    now = known()
    bean, corrected = (curves(now, degrees)[name] for name in ("bean", "lag-corrected"))
    assert corrected.x[0] >= BEANS_AFTER_S
    np.testing.assert_array_equal(corrected.x, bean.x[-len(corrected.x) :])
    last = now.view.last
    assert last is not None
    assert last.rate_c_per_min is not None
    added = corrected.y[-1] - bean.y[-1]
    assert added == pytest.approx(degrees.difference(last.rate_c_per_min * TAU_S / 60.0))
    assert added > 1.0


def test_its_pattern_is_none_of_its_neighbours_and_it_is_quieter() -> None:
    drawn = curves(known())
    neighbours = {drawn[name].pattern for name in ("bean", "reference", "air", "rate")}
    assert drawn["lag-corrected"].pattern not in neighbours
    assert drawn["lag-corrected"].priority < drawn["bean"].priority


def test_where_nothing_was_known_nothing_is_drawn() -> None:
    now = known()
    holed = now.view.level_c.copy()
    holed[-5:-2] = np.nan
    now = replace(now, view=replace(now.view, level_c=holed))
    y = curves(now)["lag-corrected"].y
    assert np.isnan(y[-5:-2]).all()
    assert np.isfinite(y[-2:]).all()


def test_its_worth_is_told_at_the_rate_of_now_or_of_the_drop() -> None:
    now = known()
    last = now.view.last
    assert isinstance(now.view.lag, Lag)
    assert last is not None
    assert last.rate_c_per_min is not None
    assert lag_words(now, CELSIUS) == worth(now.view.lag, last.rate_c_per_min)
    assert " °F low" in lag_words(now, FAHRENHEIT)
    after = known(720.0, over=True)
    assert after.view.last is not None
    assert after.view.last.rate_c_per_min is not None
    assert after.view.last.rate_c_per_min < 0.0, "the probe cools"
    assert after.rate_c_per_min is not None
    assert after.rate_c_per_min > 0.0


def test_without_a_lag_the_reason_is_told() -> None:
    now = moment(400.0)
    assert "a minute past the turning point" in lag_words(now, CELSIUS)
    now = replace(now, view=replace(now.view, lag=NoLag("The probe hardly fell.")))
    assert lag_words(now, CELSIUS) == "The probe hardly fell."
    assert moment(-1.0).rate_c_per_min is None
