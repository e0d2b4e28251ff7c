"""What docs/sound.md says of sounds and settings is so."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path

from roastside.core.advice import all_rules
from roastside.core.events import Alert, AlertState
from roastside.core.plan import RoastPlan
from roastside.live.settings import Settings
from roastside.sound.motifs import MOTIFS, motif_for
from roastside.sound.outside import PLACEHOLDERS

PAGE = Path(__file__).resolve().parents[2] / "docs" / "sound.md"


def sound_rows() -> list[str]:
    """A row of the table of sounds for each motif, the gravest first."""
    alerts: dict[str, list[str]] = {motif.name: [] for motif in MOTIFS}
    for rule in all_rules(RoastPlan()):
        raised = Alert(0.0, None, rule.alert, rule.family, rule.priority, AlertState.RAISED, "")
        alerts[motif_for(raised).name].append(f"`{rule.alert}`")
    return [
        f"| `{motif.name}` | {motif.meaning} | {', '.join(alerts[motif.name])} |"
        for motif in MOTIFS
    ]


def setting_rows() -> list[str]:
    """A row of the table of settings for each of sound and advice."""
    settings = Settings()
    return [
        f"| `{section}.{each.name}` | `{shown(getattr(part, each.name))}` "
        f"| {each.metadata['meaning']} |"
        for section, part in (("sound", settings.sound), ("advice", settings.advice))
        for each in fields(part)
    ]


def shown(value: object) -> str:
    """A value as settings.toml has it."""
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value).replace("()", "[]")


def table(heading: str) -> list[str]:
    """The rows of the table with this heading."""
    after = PAGE.read_text(encoding="utf-8").partition(f"{heading}\n|---|---|---|\n")[2]
    return after.partition("\n\n")[0].splitlines()


def test_the_table_of_sounds_has_each_with_its_meaning_and_its_alerts() -> None:
    assert table("| sound | what to do | alerts that sound so |") == sound_rows()


def test_the_table_of_settings_has_each_with_its_default_and_its_meaning() -> None:
    assert table("| setting | default | what |") == setting_rows()
    assert all(tomllib.loads(f"a = {row.split('`')[3]}") for row in setting_rows())


def test_the_table_of_the_command_has_all_that_it_can_be_told() -> None:
    told = [row.split("`")[1] for row in table("| in an argument | in its environment | what |")]
    assert told == [f"{{{name}}}" for name in PLACEHOLDERS]
