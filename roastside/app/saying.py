"""What the Roast screen has to say to the ear, from a moment."""

from __future__ import annotations

from roastside.app.glance import STALE_AFTER_S
from roastside.app.moment import Moment
from roastside.core.readings import MarkName
from roastside.sound.spoken import Status, duration, status_sentence
from roastside.sound.tone import SILENCE, Tone, tone_for


def status_words(moment: Moment) -> str:
    """Where the roast stands, in one breath; what is stale or says nothing of use is left out."""
    sample, coming = moment.sample, moment.next
    if sample is None or moment.stale_s > STALE_AFTER_S:
        elapsed_s = moment.elapsed_s
        return "no reading now" if elapsed_s is None else f"{duration(elapsed_s)}, no reading now"
    known = moment.reference is not None and _rising(moment)
    status = Status(
        elapsed_s=moment.elapsed_s,
        bean_c=sample.bean_c,
        rate_c_per_min=sample.rate_c_per_min if _rising(moment) else None,
        ahead_s=sample.ahead_s if known else None,
        development_s=moment.development_s,
        milestone=coming.name,
        in_s=coming.in_s,
    )
    return status_sentence(status, moment.plan.degrees)


def tone_now(moment: Moment) -> Tone:
    """The tone that follows the roast: silence where there is nothing to go by."""
    sample = moment.sample
    if sample is None or moment.stale_s > STALE_AFTER_S or not _rising(moment):
        return SILENCE
    return tone_for(sample, moment.plan)


def _rising(moment: Moment) -> bool:
    """Whether the beans are past the turning point and in the roaster."""
    return MarkName.TURNING_POINT in moment.marks and MarkName.DROP not in moment.marks
