"""The probe's lag, learned while the roast goes on."""

from __future__ import annotations

import pytest

from roastside.core.lag import Lag, NoLag
from roastside.core.readings import Item, Mark, Reading
from roastside.core.session import Session
from roastside.live.lag_finder import KNOWN_AFTER_S, LagFinder
from roastside.probes.roaster import Machine
from tests.live.fixture_roasts import Fed, items_of


@pytest.fixture
def made() -> Fed:
    return Fed(Session(), LagFinder)


@pytest.fixture
def roast() -> list[Item]:
    return items_of("house-good-repeat-1")


def turned_s(made: Fed) -> float:
    return made.board.view().marks["turning_point"]


def test_it_is_known_a_minute_past_the_turning_point_and_not_before(
    made: Fed, roast: list[Item]
) -> None:
    made.feed(roast, to_s=120.0)
    known_s = turned_s(made) + KNOWN_AFTER_S
    made.feed(roast, 120.0, known_s)
    made.settled()
    assert made.board.view().lag is None
    made.feed(roast, known_s, known_s + 2.0)
    made.settled()
    lag = made.board.view().lag
    assert isinstance(lag, Lag)
    # The roaster that made the fixtures says what its probe's lag is.
    assert abs(lag.tau_s - Machine().probe_lag_s) < 2.0 * lag.sd_s


def test_it_is_learned_once_and_not_at_every_reading(made: Fed, roast: list[Item]) -> None:
    made.feed(roast, to_s=300.0)
    made.settled()
    lag = made.board.view().lag
    made.feed(roast, 300.0)
    made.settled()
    assert made.board.view().lag is lag


def test_it_is_learned_anew_when_charge_is_moved(made: Fed, roast: list[Item]) -> None:
    made.feed(roast, to_s=300.0)
    made.settled()
    first = made.board.view().lag
    charge_s = made.board.view().marks["charge"]
    made.feed([Mark(charge_s + 2.0, "charge")])
    made.feed(roast, 300.0, 302.0)
    made.settled()
    again = made.board.view().lag
    assert isinstance(again, Lag)
    assert again is not first
    made.feed([Mark(300.0, "undo charge")])
    made.settled()
    assert made.board.view().lag is None


def test_a_plunge_that_tells_nothing_says_why(made: Fed) -> None:
    made.feed([Reading(0.5 * k, 100.0 + 0.05 * k) for k in range(20)])
    made.feed([Mark(2.0, "charge"), Mark(10.0, "turning_point")])
    made.feed([Reading(0.5 * k, 100.0 + 0.05 * k) for k in range(20, 200)])
    made.settled()
    lag = made.board.view().lag
    assert isinstance(lag, NoLag)
    assert "hardly fell at charge" in lag.reason
