"""Probes that are read as something they are not: swapped, or in another unit."""

from __future__ import annotations

from collections import deque

_LOOK_BACK_S = 30.0
_JUDGE_UNTIL_S = 150.0

# Beans come in at room temperature, so the probe among them falls by 100 °C and more, and the
# air far less. Margins are choices, not taken from a source.
_FALLS_DEEPER_C = 20.0
_LIES_LOWER_C = 15.0
_RIGHTED_C = 10.0
_RIGHTED_S = 10.0

# A bean probe stands at 150 to 230 °C before charge, 300 to 450 in °F, and turns at 60 to 120 °C,
# 140 to 250 in °F (common practice, no source).
_TOO_HOT_C = 300.0
_TOO_HOT_S = 20.0
_TOO_HOT_MOVES_C = 30.0
_CHARGE_F = (280.0, 480.0)
_TURNING_F = (140.0, 280.0)
_TURNING_LATE_F = 120.0


class Turn:
    """How far a probe fell from charge to its lowest; of three readings the middle one counts."""

    def __init__(self, top_c: float) -> None:
        self.top_c = top_c
        self.low_c = top_c
        self._last: deque[float] = deque(maxlen=3)

    @property
    def fall_c(self) -> float:
        return self.top_c - self.low_c

    def update(self, value_c: float) -> None:
        self._last.append(value_c)
        if len(self._last) == 3:
            self.low_c = min(self.low_c, sorted(self._last)[1])


class MisreadDetector:
    """Watches what charge does to both probes.

    `swapped`: the air probe fell deeper than the bean probe and lies lower, told once the bean
    probe has turned. `fahrenheit_c`: a reading that no bean probe in °C gives, None if there was
    none: above 300 before charge, steady for 20 s; 280 to 480 at charge, and 140 to 280 at the
    turning point; or above 300 in a roast that turned above 120.
    """

    def __init__(self) -> None:
        self.swapped = False
        self.fahrenheit_c: float | None = None
        self._recent: deque[tuple[float, float, float | None]] = deque()
        self._charge_s: float | None = None
        self._bean: Turn | None = None
        self._air: Turn | None = None
        self._judged = self._found_swapped = False
        self._righted_since_s: float | None = None
        self._hot: tuple[float, float, float] | None = None

    def update(
        self,
        time_s: float,
        bean_c: float,
        air_c: float | None,
        charge_s: float | None,
        turned: bool,
        dropped: bool,
    ) -> None:
        """Take in a believed reading. °C as they were read; stream seconds."""
        self._recent.append((time_s, bean_c, air_c))
        while self._recent[0][0] < time_s - _LOOK_BACK_S:
            self._recent.popleft()
        if charge_s != self._charge_s:
            self._charge(charge_s)
        elif self._bean is not None:
            self._fell(bean_c, air_c)
        self._watch_heat(time_s, bean_c)
        if turned and charge_s is not None and time_s - charge_s < _JUDGE_UNTIL_S:
            self._judge()
        if self.swapped and air_c is not None and not dropped:
            self._watch_righted(time_s, bean_c, air_c)

    def _charge(self, charge_s: float | None) -> None:
        """Charge was placed or moved: begin from what the probes said then, if that is known."""
        self._charge_s = charge_s
        if charge_s is None or not self._recent or charge_s < self._recent[0][0]:
            # Too late to see the fall; what was found before still stands.
            self._bean = None if charge_s is None else self._bean
            return
        self._judged = self._found_swapped = False
        self._bean = self._air = None
        for at_s, bean_c, air_c in self._recent:
            if at_s <= charge_s or self._bean is None:
                self._bean = Turn(bean_c)
                self._air = None if air_c is None else Turn(air_c)
            else:
                self._fell(bean_c, air_c)

    def _fell(self, bean_c: float, air_c: float | None) -> None:
        if self._bean is not None:
            self._bean.update(bean_c)
        if self._air is not None and air_c is not None:
            self._air.update(air_c)

    def _judge(self) -> None:
        bean, air = self._bean, self._air
        if bean is None:
            return
        if not self._judged:
            self._judged = True
            self._judge_unit(bean)
        if air is None or self._found_swapped:
            return
        deeper = air.fall_c - bean.fall_c > _FALLS_DEEPER_C
        lower = bean.low_c - air.low_c > _LIES_LOWER_C
        self.swapped = self._found_swapped = deeper and lower

    def _judge_unit(self, bean: Turn) -> None:
        if bean.low_c < _TURNING_LATE_F:
            self.fahrenheit_c = None
        elif _within(bean.top_c, _CHARGE_F) and _within(bean.low_c, _TURNING_F):
            self.fahrenheit_c = bean.top_c

    def _watch_heat(self, time_s: float, bean_c: float) -> None:
        """Too hot for °C and calm about it: a fire would not stay so."""
        if bean_c < _TOO_HOT_C:
            self._hot = None
            return
        since_s, low_c, high_c = self._hot or (time_s, bean_c, bean_c)
        self._hot = (since_s, min(low_c, bean_c), max(high_c, bean_c))
        if self._hot[2] - self._hot[1] > _TOO_HOT_MOVES_C:
            self._hot = (time_s, bean_c, bean_c)
        elif time_s - since_s >= _TOO_HOT_S and self.fahrenheit_c is None:
            early = self._bean is None
            self.fahrenheit_c = bean_c if early or self._turned_late_f() else None

    def _turned_late_f(self) -> bool:
        return self._bean is not None and self._bean.low_c >= _TURNING_LATE_F

    def _watch_righted(self, time_s: float, bean_c: float, air_c: float) -> None:
        """Somebody swapped them back when the air is plainly the hotter one again."""
        if air_c < bean_c + _RIGHTED_C:
            self._righted_since_s = None
        elif self._righted_since_s is None:
            self._righted_since_s = time_s
        elif time_s - self._righted_since_s >= _RIGHTED_S:
            self.swapped, self._righted_since_s = False, None


def _within(value: float, span: tuple[float, float]) -> bool:
    return span[0] <= value <= span[1]
