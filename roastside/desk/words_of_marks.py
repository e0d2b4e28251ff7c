"""The words by which people and loggers name the moments of a roast."""

from __future__ import annotations

import re
from collections.abc import Mapping

from roastside.core.readings import ONCE_ONLY, MarkName

# Words of the trade: common practice, no source.
_WORDS: Mapping[MarkName, tuple[str, ...]] = {
    MarkName.CHARGE: ("charge", "charged", "beans in", "loaded", "load", "start of roast"),
    MarkName.TURNING_POINT: ("turning point", "turn", "turned"),
    MarkName.YELLOWING: ("yellowing", "yellow", "end of drying", "drying end", "dry"),
    MarkName.FIRST_CRACK: ("first crack", "1st crack", "crack", "first crack start", "crack 1"),
    MarkName.FIRST_CRACK_END: ("first crack end", "end of first crack", "1st crack end"),
    MarkName.SECOND_CRACK: ("second crack", "2nd crack", "second crack start", "crack 2"),
    MarkName.DROP: ("drop", "dropped", "beans out", "discharge", "end of roast"),
}
_BY_WORD = {word: str(mark) for mark, words in _WORDS.items() for word in words}
_APART = re.compile(r"[\s_\-:.!,;/()]+")


def mark_of(text: str, own: Mapping[str, str]) -> str:
    """The once-only mark a text stands for, empty if none; `own` words, in lower case, go first."""
    told = text.casefold().strip()
    if told in own:
        return own[told]
    plain = _APART.sub(" ", told).strip()
    if plain in _BY_WORD:
        return _BY_WORD[plain]
    underscored = plain.replace(" ", "_")
    return underscored if underscored in ONCE_ONLY else ""
