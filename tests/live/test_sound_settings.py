"""What a person may choose of sound and advice, and what no setting can take away."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from roastside.core.advice import all_rules, can_be_off, rules_for
from roastside.core.errors import UsageError
from roastside.core.events import Family, Priority
from roastside.core.plan import RoastPlan
from roastside.core.units import FAHRENHEIT
from roastside.live.advice_settings import AdviceSettings
from roastside.live.settings import Settings, load_settings, save_settings
from roastside.live.settings_form import filled_in, form_rows
from roastside.live.sound_settings import SoundSettings

CHOSEN = Settings(
    sound=SoundSettings(
        on=False,
        volume=40,
        speech_from="high",
        status_every_s=60,
        tone=True,
        command=("send-it", "--to", "the phone", "{message}"),
        notices=True,
    ),
    advice=AdviceSettings(
        tolerance_c=3.5, over_temperature_c=232.0, rules_off=("stall", "cue_soon")
    ),
)

ALWAYS_ON = {
    "over_temperature",
    "runaway_rise",
    "recording_not_stored",
    "probe_open",
    "probe_silent",
    "probe_stuck",
}


def kept(folder: Path, text: str) -> Settings:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return load_settings(path)


def test_what_was_chosen_is_read_again_from_the_file_and_from_the_form(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save_settings(CHOSEN, path)
    assert load_settings(path) == CHOSEN
    assert filled_in(Settings(), {row.key: row.value for row in form_rows(CHOSEN)}) == CHOSEN


def test_a_command_is_a_list_in_the_file_and_a_line_in_the_form(tmp_path: Path) -> None:
    settings = kept(tmp_path, '[sound]\ncommand = ["send-it", "{alert}: {message}"]')
    assert settings.sound.command == ("send-it", "{alert}: {message}")
    row = next(row for row in form_rows(settings) if row.key == "sound.command")
    assert row.value == 'send-it "{alert}: {message}"'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[sound]\non = 1", "sound.on is 1; it takes true or false"),
        ("[sound]\nvolume = 0", "it takes a whole number from 1 to 100"),
        ("[sound]\nvolume = 101", "from 1 to 100"),
        ("[sound]\nspeech_from = 'loud'", "write one of low, medium, high, critical"),
        ("[sound]\nstatus_every_s = 1", "write one of 0, 15, 30"),
        ("[sound]\ncommand = 'send-it now'", 'a list of texts, such as ["one", "two"]'),
        ("[sound]\ncommand = ['send-it', 1]", "a list of texts"),
        ("[advice]\ntolerance_c = 0.1", "it takes a number from 0.5 to 20"),
        ("[advice]\ntolerance_s = nan", "a number from 2 to 120"),
        ("[advice]\nover_temperature_c = 300", "a number from 200 to 250"),
        ("[advice]\nfirst_crack_notice_s = 'soon'", "a number from 5 to 120"),
        ("[advice]\ndevelopment_notice_s = 1", "a number from 3 to 60"),
        ("[advice]\nrules_off = ['stal']", "there is no alert stal; you can turn off"),
        ("[advice]\nrules_off = 'stall'", "a list of texts"),
        *(
            (f"[advice]\nrules_off = ['stall', '{alert}']", f"{alert} guards the roast")
            for alert in sorted(ALWAYS_ON)
        ),
    ],
)
def test_what_does_not_fit_is_refused_in_a_sentence(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        kept(tmp_path, text)
    assert says in str(refusal.value)


@pytest.mark.parametrize(
    ("key", "text", "says"),
    [
        ("sound.command", 'send-it "oh', "command to run on alerts: "),
        ("sound.volume", "loud", "loud is not a whole number from 1 to 100"),
        ("sound.volume", "500", "500: it takes a whole number from 1 to 100"),
        ("advice.rules_off", "stall runaway_rise", "runaway_rise guards the roast and stays on"),
    ],
)
def test_the_form_refuses_the_same(key: str, text: str, says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        filled_in(Settings(), {key: text})
    assert says in str(refusal.value)


def test_nothing_that_guards_the_roast_can_be_turned_off() -> None:
    rules = all_rules(RoastPlan())
    assert {rule.alert for rule in rules if not can_be_off(rule)} == ALWAYS_ON
    assert all(
        not can_be_off(rule)
        for rule in rules
        if rule.family in (Family.SAFETY, Family.RECORDING) or rule.priority is Priority.CRITICAL
    )
    none_wanted = RoastPlan(rules_off=frozenset(rule.alert for rule in rules))
    assert {rule.alert for rule in rules_for(none_wanted)} == ALWAYS_ON


def test_a_plan_has_every_limit_that_is_set_and_by_default_the_usual_ones() -> None:
    assert AdviceSettings().plan() == RoastPlan()
    advice = AdviceSettings(3.5, 20.0, 40.0, 15.0, 232.0, ("stall",))
    plan = advice.plan(FAHRENHEIT)
    for each in fields(advice):
        wanted = getattr(advice, each.name)
        assert getattr(plan, each.name) == (
            frozenset(wanted) if isinstance(wanted, tuple) else wanted
        )
    assert plan.degrees == FAHRENHEIT


def test_every_meaning_fits_its_column_of_the_form() -> None:
    assert max(len(row.meaning) for row in form_rows(Settings())) <= 41
