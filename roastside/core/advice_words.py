"""The words of the advice: what to do first, then why. All fit one line of a narrow screen."""

from __future__ import annotations

from roastside.core.alerts import Situation
from roastside.core.findings import Finding
from roastside.core.units import Degrees


def over_temperature(degrees: Degrees, now: Situation) -> str:
    return f"cut the heat, look at the beans, fire risk: bean probe at {_at(degrees, now.bean_c)}"


def runaway(degrees: Degrees, now: Situation) -> str:
    rate = degrees.difference(now.rate_c_per_min) or 0.0
    act = "cut the heat, look at the beans, fire risk"
    return f"{act}: rising {rate:.0f} {degrees.unit} a minute" if rate >= 1.0 else act


def silent(now: Situation) -> str:
    at, what = ("plug", "line lost") if now.line_lost else ("probe", "no bean reading")
    return f"check the {at}, roast by eye and ear: {what} for {now.silent_s:.0f} seconds"


def off_course(degrees: Degrees, now: Situation, side: str) -> str:
    off = abs(degrees.difference(now.deviation_c) or 0.0)
    return f"{_heat(side)} heat: {off:.1f} {degrees.unit} {side}, {pace(degrees, now)}"


def leaving(degrees: Degrees, now: Situation, side: str) -> str:
    off = abs(degrees.difference(now.leaving_c) or 0.0)
    return f"a little {_heat(side)} heat: {off:.1f} {degrees.unit} {side} within a minute"


def rate_off(degrees: Degrees, now: Situation, side: str) -> str:
    off = abs(degrees.difference(now.rate_off_c_per_min) or 0.0)
    rate = degrees.difference(now.rate_c_per_min) or 0.0
    return f"look at heat and air: rate {rate:.1f}, at least {off:.1f} too {side}"


def pace(degrees: Degrees, now: Situation) -> str:
    parts = []
    if now.ahead_s is not None:
        where = "ahead" if now.ahead_s > 0.0 else "behind"
        parts.append(f"{abs(now.ahead_s):.0f} seconds {where}")
    rate = degrees.difference(now.rate_c_per_min)
    if rate is not None:
        parts.append(f"rate {rate:.1f}")
    return ", ".join(parts) or "pace unknown"


def ready(degrees: Degrees, now: Situation) -> str:
    return f"charge when you like: steady at {_at(degrees, now.bean_c)}"


def charged_off(degrees: Degrees, now: Situation) -> str:
    off = degrees.difference(now.charged_off_c) or 0.0
    side, start = ("low", "slow") if off < 0.0 else ("high", "quick")
    return f"watch the start, it will be {start}: charged {abs(off):.0f} {degrees.unit} {side}"


def cue(now: Situation) -> str:
    return f"{now.cue} {_soon(now.cue_in_s)}"


def crack_soon(now: Situation) -> str:
    return f"listen for first crack: expected {_soon(now.first_crack_in_s)}"


def crack_overdue(degrees: Degrees, now: Situation) -> str:
    past = degrees.difference(now.crack_past_c) or 0.0
    return f"listen, then mark first crack: beans {past:.0f} {degrees.unit} past it"


def target_soon(now: Situation) -> str:
    return f"come and drop: development target {_soon(now.development_left_s)}"


def drop_missed(now: Situation) -> str:
    past_s = max(-(now.development_left_s or 0.0), 0.0)
    return f"drop now, or mark the drop: {past_s:.0f} seconds past the target"


def stall(degrees: Degrees, now: Situation) -> str:
    rate = degrees.difference(now.rate_c_per_min) or 0.0
    return f"more heat, or the roast stalls: rate {rate:.1f}"


def sudden_fall(degrees: Degrees, finding: Finding | None) -> str:
    return f"a little more heat: the rate fell by {_size(degrees, finding)}"


def rebound(degrees: Degrees, finding: Finding | None) -> str:
    return f"a little less heat: the rate is up {_size(degrees, finding)} after its fall"


def _size(degrees: Degrees, finding: Finding | None) -> str:
    if finding is None:
        return "a little"
    return f"{degrees.difference(finding.size) or 0.0:.1f} in {finding.lasted_s:.0f} seconds"


def _soon(in_s: float | None) -> str:
    """A standing alert is told anew as time passes, and may outlast the moment it speaks of."""
    seconds = round(in_s or 0.0)
    if seconds < 1:
        return "now"
    return "in 1 second" if seconds == 1 else f"in {seconds} seconds"


def _heat(side: str) -> str:
    return "more" if side == "low" else "less"


def _at(degrees: Degrees, value_c: float | None) -> str:
    value = degrees.temperature(value_c)
    return "unknown" if value is None else f"{value:.0f} {degrees.unit}"
