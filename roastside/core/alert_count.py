"""How often alerts came in a roast, in words."""

from __future__ import annotations

from roastside.core.events import Summary


def alert_count(summary: Summary) -> str:
    """The number of alerts and how many that is in ten minutes, part of a sentence."""
    count = sum(summary.alerts.values())
    if count == 0:
        return "no alerts"
    words = f"{count} alert{'s' if count > 1 else ''}"
    rate = summary.alerts_in_ten_minutes
    return words if rate is None else f"{words}, {rate:.1f} in ten minutes"
