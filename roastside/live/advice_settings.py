"""When an alert is raised: the limits a person may set, and the alerts that are not wanted."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.core.errors import UsageError
from roastside.core.plan import RoastPlan
from roastside.core.units import CELSIUS, Degrees
from roastside.live.setting import setting

_USUAL = RoastPlan()


def check_rules_off(names: tuple[str, ...]) -> None:
    """Raises UsageError, part of a sentence, if one is no alert or one that always stays on."""
    if not names:
        return
    from roastside.core.advice import all_rules, can_be_off  # numpy comes with it

    rules = {rule.alert: rule for rule in all_rules(_USUAL)}
    for name in names:
        if name not in rules:
            known = ", ".join(alert for alert, rule in rules.items() if can_be_off(rule))
            raise UsageError(f"there is no alert {name}; you can turn off {known}")
        if not can_be_off(rules[name]):
            raise UsageError(f"{name} guards the roast and stays on; take it out of the list")


@dataclass(frozen=True, slots=True)
class AdviceSettings:
    """Limits where a command names none. °C and seconds, as in `RoastPlan`."""

    tolerance_c: float = setting(_USUAL.tolerance_c, "corridor, °C", bounds=(0.5, 20.0))
    tolerance_s: float = setting(_USUAL.tolerance_s, "corridor, seconds", bounds=(2.0, 120.0))
    first_crack_notice_s: float = setting(
        _USUAL.first_crack_notice_s, "first crack said ahead by, seconds", bounds=(5.0, 120.0)
    )
    development_notice_s: float = setting(
        _USUAL.development_notice_s, "drop said ahead by, seconds", bounds=(3.0, 60.0)
    )
    over_temperature_c: float = setting(
        _USUAL.over_temperature_c, "beans too hot from, °C", bounds=(200.0, 250.0)
    )
    rules_off: tuple[str, ...] = setting((), "alerts that are not wanted", check=check_rules_off)

    def plan(self, degrees: Degrees = CELSIUS) -> RoastPlan:
        """A plan with these limits, that speaks in these degrees."""
        return RoastPlan(
            tolerance_c=self.tolerance_c,
            tolerance_s=self.tolerance_s,
            first_crack_notice_s=self.first_crack_notice_s,
            development_notice_s=self.development_notice_s,
            over_temperature_c=self.over_temperature_c,
            rules_off=frozenset(self.rules_off),
            degrees=degrees,
        )
