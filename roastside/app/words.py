"""Numbers and times in the words a roaster reads at a glance."""

from __future__ import annotations

MINUS = "−"


def clock(seconds: float | None) -> str:
    """Minutes and seconds, `8:05`; before zero with a minus sign; unknown as `-:--`."""
    if seconds is None:
        return "-:--"
    whole = round(abs(seconds))
    sign = MINUS if seconds < 0.0 and whole else ""
    return f"{sign}{whole // 60}:{whole % 60:02d}"


def signed(value: float | None, digits: int = 0) -> str:
    """A number that always bears its sign, `+3`; unknown as `--`."""
    if value is None:
        return "--"
    text = f"{abs(value):.{digits}f}"
    if float(text) == 0.0:
        return text
    return f"{MINUS if value < 0.0 else '+'}{text}"


def plain(value: float | None, digits: int = 0) -> str:
    """A number, `203.4`; unknown as `--`."""
    if value is None:
        return "--"
    text = f"{value:.{digits}f}"
    return text.replace("-", MINUS) if float(text) != 0.0 else text.lstrip("-")


def named(mark: str) -> str:
    """A mark's name as words, `first crack`."""
    return mark.replace("_", " ")
