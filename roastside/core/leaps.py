"""Readings no probe can follow: the one place that judges leaps."""

from __future__ import annotations

# A probe has mass: even a thin one falls no faster than about 50 °C/s into cold beans, and not
# for long. A reading that leaps further from the last believed one is a fault of the line.
# Choices, not taken from a source.
_LEAP_C = 30.0
_LEAP_C_PER_S = 20.0
_LONGEST_S = 5.0

_ALIVE_CHANGES = 3
_ALIVE_S = 3.0
_SURE_S = 20.0
_PATIENCE_S = 120.0

Point = tuple[float, float]


class LeapJudge:
    """Believes a reading, or holds it for a leap that no probe can make.

    A leap is the first of a run of suspects; readings nearer to the run than to what was believed
    belong to it. The run is believed in turn when

    - nothing had been believed for 20 s yet, and the run is the longer;
    - the line had been silent long enough for the probe to move so far, or what was believed
      never changed at all, and the run is alive: its values change, for 3 s;
    - it has been alive for two minutes.

    So an open circuit that is read as 0.0 is never believed, however long it lasts.
    """

    def __init__(self) -> None:
        self.began_anew = False
        self.leapt_to_c = 0.0
        self._track: _Track | None = None
        self._run: _Track | None = None
        self._in_reach = False
        self._came_s = 0.0

    def believes(self, time_s: float, value_c: float) -> bool:
        """Judge a reading; times must not go back.

        `began_anew` then tells whether it is the first believed one after a run of leaps, which
        owes nothing to the readings before; `leapt_to_c` is the latest leap.
        """
        silent_s = time_s - self._came_s
        self._came_s = time_s
        track, run = self._track, self._run
        self.began_anew = False
        if track is None:
            self._track = _Track(time_s, value_c)
            return True
        if track.reaches(time_s, value_c) and not (
            run is not None
            and run.reaches(time_s, value_c)
            and abs(value_c - run.value_c) < abs(value_c - track.value_c)
        ):
            track.follow(time_s, value_c)
            self._run = None
            return True
        self.leapt_to_c = value_c
        if run is None or not run.reaches(time_s, value_c):
            run = self._run = _Track(time_s, value_c)
            reach_c = _LEAP_C + _LEAP_C_PER_S * silent_s
            self._in_reach = abs(value_c - track.value_c) <= reach_c
        else:
            run.follow(time_s, value_c)
        if not self._convinces(track, run):
            return False
        self._track, self._run, self.began_anew = run, None, True
        return True

    def _convinces(self, track: _Track, run: _Track) -> bool:
        if track.lasts_s < _SURE_S and run.lasts_s > track.lasts_s:
            return True
        if run.changes < _ALIVE_CHANGES:
            return False
        wanted_s = _ALIVE_S if self._in_reach or track.changes == 0 else _PATIENCE_S
        return run.lasts_s >= wanted_s


class _Track:
    """Readings that follow on from each other."""

    __slots__ = ("changes", "since_s", "time_s", "value_c")

    def __init__(self, time_s: float, value_c: float) -> None:
        self.since_s = self.time_s = time_s
        self.value_c = value_c
        self.changes = 0

    @property
    def lasts_s(self) -> float:
        return self.time_s - self.since_s

    def reaches(self, time_s: float, value_c: float) -> bool:
        moved_s = min(time_s - self.time_s, _LONGEST_S)
        return abs(value_c - self.value_c) <= _LEAP_C + _LEAP_C_PER_S * moved_s

    def follow(self, time_s: float, value_c: float) -> None:
        moved_c = abs(value_c - self.value_c)
        if moved_c > _LEAP_C:
            # It could have moved so far, but nothing shows yet that it did.
            self.since_s = time_s
        self.changes += moved_c > 0.0
        self.time_s, self.value_c = time_s, value_c
