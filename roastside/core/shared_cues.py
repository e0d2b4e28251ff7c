"""The changes of the controls that most of several roasts share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from statistics import fmean, median

from roastside.core.cues import Cue

_TOGETHER_S = 5.0
_SAME_WITHIN_S = 45.0
"""The same change farther from the others than this is another one. A choice."""


def shared_cues(roasts: Sequence[Sequence[Cue]], end_s: float) -> list[tuple[float, str]]:
    """Elapsed s and words of each change that more than half of the roasts made, in order.

    The n-th time a roast makes a change is held against the n-th time others do; the mean time
    counts. Those close together are said as one.
    """
    times: dict[tuple[str, int], list[float]] = defaultdict(list)
    for cues in roasts:
        seen: dict[str, int] = defaultdict(int)
        for cue in cues:
            for words in cue.words.split(", "):
                times[words, seen[words]].append(cue.elapsed_s)
                seen[words] += 1
    shared: list[tuple[float, str]] = []
    for (words, _), at_s in times.items():
        middle_s = median(at_s)
        same = [at for at in at_s if abs(at - middle_s) <= _SAME_WITHIN_S]
        if 2 * len(same) > len(roasts):
            shared.append((min(round(fmean(same), 1), end_s), words))
    joined: list[tuple[float, str]] = []
    for at, words in sorted(shared, key=lambda change: change[0]):
        if joined and at - joined[-1][0] <= _TOGETHER_S:
            joined[-1] = (joined[-1][0], f"{joined[-1][1]}, {words}")
        else:
            joined.append((at, words))
    return joined
