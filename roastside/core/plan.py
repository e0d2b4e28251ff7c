"""What this roast is to be: the limits and targets that advice is given by."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from roastside.core.errors import UsageError
from roastside.core.past import NOTHING_LEARNED, Habits
from roastside.core.units import CELSIUS, Degrees


class Align(StrEnum):
    """Where live roast and reference are laid on each other."""

    CHARGE = "charge"
    TURNING_POINT = "turning_point"


@dataclass(frozen=True, slots=True)
class RoastPlan:
    """Limits and targets of one roast. °C, seconds, and shares from 0 to 1.

    `development_s` or else `development_ratio` sets the development target; with neither, the
    reference's own development time; without a reference there is none. The temperatures of
    yellowing, first crack and the over-temperature limit are common practice, without a source,
    and differ from probe to probe. `degrees` is how alerts speak; `habits` is
    what past roasts of the reference told; `rules_off` are the alerts that are not wanted. With
    `own_corridor` a reference's own corridor, where it has one, counts instead of `tolerance_c`.
    """

    tolerance_c: float = 2.0
    tolerance_s: float = 10.0
    yellowing_c: float = 150.0
    first_crack_c: float = 196.0
    development_s: float | None = None
    development_ratio: float | None = None
    over_temperature_c: float = 240.0
    silent_after_s: float = 3.0
    first_crack_notice_s: float = 30.0
    development_notice_s: float = 10.0
    align: Align = Align.CHARGE
    degrees: Degrees = CELSIUS
    habits: Habits = NOTHING_LEARNED
    rules_off: frozenset[str] = frozenset()
    own_corridor: bool = True

    def development_target_s(
        self, first_crack_s: float | None, reference_development_s: float | None
    ) -> float | None:
        """Development aimed for, seconds; None without a target.

        Also while it is a share and hangs on a first crack not yet known.
        """
        if self.development_s is not None:
            return self.development_s
        ratio = self.development_ratio
        if ratio is None:
            return reference_development_s
        if first_crack_s is None or not 0.0 < ratio < 1.0:
            return None
        return first_crack_s * ratio / (1.0 - ratio)


def development_target(text: str) -> tuple[float | None, float | None]:
    """A target as people write it, `75`, `75s` or `20%`: seconds or else a share.

    Raises UsageError if it is neither, or out of reason.
    """
    try:
        if text.endswith("%"):
            share = float(text[:-1]) / 100.0
            if 0.01 <= share <= 0.9:
                return None, share
        else:
            seconds = float(text.removesuffix("s"))
            if 1.0 <= seconds <= 1800.0:
                return seconds, None
    except ValueError:
        pass
    raise UsageError(
        f"{text!r} is not a development target; write seconds such as 75, or a share such as 20%"
    )
