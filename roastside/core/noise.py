"""How noisy a probe is, learned from the readings themselves."""

from __future__ import annotations

_FORGET_READINGS = 100
_WORTH_OF_GUESS = 10
"""The first guess counts like so many readings."""

_FEW = 20
_CLIP = 16.0
_WILD_IN_A_ROW = 4
"""Two wild readings, and the good ones on either side that look so beside them."""

_MOST_STEP_C = 2.5
_STEP_SEEN = 3
_MOST_JUMPS = 200

LOWEST_SD_C = 0.05
"""Readings are never taken to be better than this."""

Point = tuple[float, float]


class NoiseMeter:
    """Standard deviation of a stream's reading error, °C, and its smallest step.

    Each reading is compared with the straight line between its two neighbours; for white noise
    of variance s² the residual has variance s² (1 + w0² + w2²), w0 and w2 being the weights of
    the neighbours. Squares are averaged with forgetting. One far outside is passed over as if the
    reading had not come, four in a row at most; a fifth is counted, clipped. A curve that bends
    over two sampling intervals adds to the figure, which errs on the safe side.
    """

    def __init__(self, initial_sd_c: float = 0.3) -> None:
        self._variance = initial_sd_c**2
        self._before: Point | None = None
        self._last: Point | None = None
        self._wild = 0
        self._judged = 0
        self.interval_s = 0.5
        """From one reading to the next, in the mean of the last twenty."""
        self._step_c: float | None = None
        self._jumps: dict[float, int] = {}

    def update(self, time_s: float, value_c: float, calm: bool = True) -> None:
        """Take in one reading; times must not go back.

        Where the curve is known to bend sharply (not `calm`) scatter is not judged, unless
        nothing is known of it yet.
        """
        last, before = self._last, self._before
        now = (time_s, value_c)
        if last is not None:
            self.interval_s += (min(time_s - last[0], 5.0) - self.interval_s) / 20.0
            self._weigh_jump(abs(value_c - last[1]))
        judged = calm or self._judged < _FEW
        if (
            judged
            and last is not None
            and before is not None
            and time_s > before[0]
            and not self._weigh(before, last, now)
        ):
            self._last = now  # the last one was wild: as if it had not come
            return
        self._before, self._last = last, now

    def _weigh(self, before: Point, last: Point, now: Point) -> bool:
        """Count how far `last` lies off the line through its neighbours; False if it is wild."""
        w0 = (now[0] - last[0]) / (now[0] - before[0])
        w2 = 1.0 - w0
        residual = last[1] - w0 * before[1] - w2 * now[1]
        square = residual * residual / (1.0 + w0 * w0 + w2 * w2)
        step_c = self._step_c or 0.0
        most = _CLIP * max(self._variance, LOWEST_SD_C**2, step_c * step_c / 12.0)
        if square > most and self._wild < _WILD_IN_A_ROW:
            self._wild += 1
            return False
        self._wild = 0
        self._judged += 1
        memory = min(self._judged + _WORTH_OF_GUESS, _FORGET_READINGS)
        self._variance += (min(square, most) - self._variance) / memory
        return True

    def _weigh_jump(self, jump_c: float) -> None:
        """A step is the smallest jump that is seen again and again."""
        jump_c = round(jump_c, 4)
        if not 0.0 < jump_c < (self._step_c or _MOST_STEP_C):
            return
        count = self._jumps[jump_c] = self._jumps.get(jump_c, 0) + 1
        if count >= _STEP_SEEN:
            self._step_c = jump_c
            self._jumps = {jump: n for jump, n in self._jumps.items() if jump < jump_c}
        elif len(self._jumps) > _MOST_JUMPS:
            self._jumps.clear()

    @property
    def variance(self) -> float:
        """Scatter of the readings, °C², as found, roundings and all; it may be 0."""
        return self._variance

    def rounding(self, slope_c_per_s: float) -> float:
        """How much of the scatter found comes from rounding to a step, °C².

        A value that takes many readings to climb a step shows none between two steps and half a
        step at each: slope × interval × step / 3 in the mean; fast ones the full step²/12.
        """
        step_c = self._step_c or 0.0
        climb = abs(slope_c_per_s) * self.interval_s * step_c / 3.0
        return min(climb, step_c * step_c / 12.0)

    @property
    def step_c(self) -> float | None:
        """The step to which readings are rounded, °C; None if there is none, or not plainly."""
        return self._step_c

    @property
    def sd_c(self) -> float:
        """Typical error of one reading, °C."""
        return float(max(self._variance**0.5, LOWEST_SD_C))
