"""The roaster of equations behaves like a roaster."""

from __future__ import annotations

from dataclasses import replace
from math import exp

import pytest

from roastside.probes.roaster import AMBIENT_C, Beans, Machine, PracticeRoaster


def charged(heat: float = 0.8, beans: Beans | None = None) -> PracticeRoaster:
    roaster = PracticeRoaster()
    roaster.preheated(205.0)
    roaster.heat = heat
    roaster.charge(beans or Beans())
    return roaster


def after(roaster: PracticeRoaster, seconds: float) -> PracticeRoaster:
    roaster.advance(seconds)
    return roaster


@pytest.mark.parametrize("piece_s", [0.1, 0.25, 0.5, 7.0])
def test_it_does_not_matter_in_what_pieces_time_passes(piece_s: float) -> None:
    in_pieces = charged()
    for _ in range(round(350.0 / piece_s)):
        in_pieces.advance(piece_s)
    at_once = after(charged(), 350.0)
    assert in_pieces.bean_probe_c == pytest.approx(at_once.bean_probe_c, abs=0.05)
    assert in_pieces.metal_c == pytest.approx(at_once.metal_c, abs=0.05)


def test_beans_dry_by_the_published_law() -> None:
    roaster = charged()
    roaster.bean_c, roaster.moisture = 180.0, 0.08
    after(roaster, 0.1)
    # Schwartzberg, "Modeling bean heating during batch roasting of coffee beans" (2002), from
    # memory: dX/dt = -(4.32e9 X²/d²) exp(-9889/(T + 273.15)), d in mm.
    lost = 4.32e9 * 0.08**2 / 9.0**2 * exp(-9889.0 / (180.0 + 273.15)) * 0.1
    assert roaster.moisture == pytest.approx(0.08 - lost, rel=1e-9)


def test_cold_beans_warm_by_their_heat_capacity() -> None:
    light, heavy = charged(beans=Beans(0.75)), charged(beans=Beans(1.5))
    for roaster in (light, heavy):
        # Beans as warm as the metal take heat from the air alone.
        roaster.bean_c = roaster.metal_c = 60.0
        roaster.air_c = 160.0
    before_kj = heavy.machine.air_to_bean * 100.0 * 0.1
    after(heavy, 0.1)
    dry_kg = 1.5 / 1.115
    # Heat capacity: the same paper, from memory: 1.099 + 0.0070 T + 5.0 X kJ/(kg K).
    capacity = 1.099 + 0.0070 * 60.0 + 5.0 * 0.115
    # The air has moved a little within the step, and a little heat dries or is set free.
    assert heavy.bean_c - 60.0 == pytest.approx(before_kj / (dry_kg * capacity), rel=0.05)
    after(light, 0.1)
    assert light.bean_c > heavy.bean_c


def test_moisture_only_falls_and_never_below_nothing() -> None:
    roaster = charged(heat=1.0)
    last = roaster.moisture
    for _ in range(1500):
        roaster.advance(1.0)
        assert 0.0 <= roaster.moisture <= last
        last = roaster.moisture
    assert last < 0.03


def test_beans_warm_all_the_way_while_the_probe_first_comes_down_to_them() -> None:
    roaster = charged()
    beans, probe = [], []
    for _ in range(600):
        roaster.advance(1.0)
        beans.append(roaster.bean_c)
        probe.append(roaster.bean_probe_c)
    assert beans == sorted(beans)
    lowest = probe.index(min(probe))
    assert 20 < lowest < 120
    assert probe[:lowest] == sorted(probe[:lowest], reverse=True)
    assert probe[lowest:] == sorted(probe[lowest:])


@pytest.mark.parametrize(
    ("hotter", "cooler"),
    [
        (charged(heat=0.9), charged(heat=0.6)),
        (charged(beans=Beans(weight_kg=1.0)), charged(beans=Beans(weight_kg=2.0))),
        (charged(beans=Beans(moisture=0.09)), charged(beans=Beans(moisture=0.13))),
    ],
    ids=["more heat", "a smaller batch", "drier beans"],
)
def test_what_makes_a_roast_faster(hotter: PracticeRoaster, cooler: PracticeRoaster) -> None:
    assert after(hotter, 300.0).bean_c > after(cooler, 300.0).bean_c + 2.0


def test_without_heat_everything_goes_to_room_temperature() -> None:
    roaster = PracticeRoaster(ambient_c=18.0)
    roaster.preheated(205.0)
    after(roaster, 20000.0)
    for value_c in (roaster.metal_c, roaster.air_c, roaster.bean_probe_c, roaster.air_probe_c):
        assert value_c == pytest.approx(18.0, abs=0.1)


@pytest.mark.parametrize("first_crack_c", [186.0, 190.0, 196.0])
def test_beans_crack_from_their_own_temperature_on(first_crack_c: float) -> None:
    roaster = charged(beans=Beans(first_crack_c=first_crack_c))
    for _ in range(900):
        roaster.advance(1.0)
        # Half a degree early, as not all beans are alike; a step lags by what it warms.
        assert (roaster.cracking > 0.0) == (roaster.bean_c > first_crack_c - 0.5) or (
            roaster.bean_c == pytest.approx(first_crack_c - 0.5, abs=0.1)
        )
    assert roaster.cracking == 1.0


def test_a_thicker_probe_comes_later_to_the_same_place() -> None:
    thin = PracticeRoaster(Machine(probe_lag_s=5.0))
    thick = PracticeRoaster(replace(Machine(), probe_lag_s=25.0))
    for roaster in (thin, thick):
        roaster.preheated(205.0)
        roaster.heat = 0.8
        roaster.charge(Beans())
        roaster.advance(30.0)
    assert thin.bean_probe_c < thick.bean_probe_c
    assert thin.bean_c == thick.bean_c


def test_after_the_drop_the_probe_falls_fast_and_the_drum_is_empty() -> None:
    roaster = after(charged(), 660.0)
    at_drop_c = roaster.bean_probe_c
    roaster.drop()
    roaster.heat = 0.0
    after(roaster, 20.0)
    assert roaster.beans is None
    assert roaster.bean_probe_c < at_drop_c - 20.0
    assert roaster.bean_probe_c > AMBIENT_C
