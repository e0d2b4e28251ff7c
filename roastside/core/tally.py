"""What a roast came to, counted up."""

from __future__ import annotations

from collections.abc import Mapping

from roastside.core.events import Summary
from roastside.core.silence import Silence
from roastside.core.stages import Marks, developed_s, ended_s, stage_spans


class Tally:
    """Counts readings, and sums a roast up from its marks and its clock.

    readings: those that had a bean temperature; missing: those that had none, or came too late.
    """

    def __init__(self, marks: Marks, silence: Silence) -> None:
        self._marks = marks
        self._silence = silence
        self.readings = 0
        self.missing = 0

    def summary(self, max_deviation_c: float | None, alerts: Mapping[str, int]) -> Summary:
        """The last word on the roast as it is now. alerts: how often each was raised."""
        marks, now_s = self._marks.all_elapsed_s(), self._silence.now_s
        last_s = self._silence.last_reading_s
        end_s = ended_s(marks, None if last_s is None else self._marks.since_charge_s(last_s))
        developed = None if end_s is None else developed_s(marks, end_s)
        return Summary(
            time_s=now_s,
            elapsed_s=self._marks.since_charge_s(now_s),
            duration_s=end_s,
            marks=marks,
            stages={} if end_s is None else stage_spans(marks, end_s),
            development_s=developed,
            development_ratio=developed / end_s if developed is not None and end_s else None,
            max_deviation_c=max_deviation_c,
            alerts=dict(alerts),
            readings=self.readings,
            missing=self.missing,
        )
