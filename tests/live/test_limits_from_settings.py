"""The limits of a roast are those of the settings, unless its command names others."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.live.advice_settings import AdviceSettings
from roastside.live.beginnings import replayed_roast
from roastside.live.settings import DisplaySettings, Settings, save_settings
from tests.live.running import FIXTURES, HOUSE, run

SLOW = FIXTURES / "house-slow-browning.csv"
WIDE = Settings(advice=AdviceSettings(tolerance_c=20.0, tolerance_s=120.0))


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path


def alerts(home: Path, *more: object) -> set[str]:
    done = run("replay", SLOW, "--reference", HOUSE, "--events", *more, home=home)
    return set(done.events[-1]["alerts"])


def test_without_flags_the_settings_hold_and_with_flags_they_do_not(home: Path) -> None:
    usual = alerts(home)
    assert {"below_reference", "leaving_low"} <= usual
    save_settings(WIDE, home / "settings.toml")
    assert not {"below_reference", "leaving_low"} & alerts(home)
    assert alerts(home, "--tolerance", 2.0, "--tolerance-s", 10.0) == usual


def test_an_alert_that_is_not_wanted_is_not_raised(home: Path) -> None:
    unwanted = "below_reference"
    save_settings(Settings(advice=AdviceSettings(rules_off=(unwanted,))), home / "settings.toml")
    assert unwanted not in alerts(home)


def test_a_roast_begun_from_the_app_has_them_too(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    chosen = Settings(display=DisplaySettings("F"), advice=WIDE.advice)
    save_settings(chosen)
    roast = replayed_roast(HOUSE)
    roast.end()
    assert roast.plan == WIDE.advice.plan(chosen.display.degrees)


def test_settings_that_do_not_fit_end_the_command_with_a_sentence(home: Path) -> None:
    (home / "settings.toml").write_text("[advice]\nover_temperature_c = 400\n")
    done = run("replay", SLOW, "--events", home=home)
    assert done.code == 2
    assert "advice.over_temperature_c is 400; it takes a number from 200 to 250" in done.sentence
