"""The keys of the Replay screen."""

from __future__ import annotations

from textual.binding import Binding, BindingType

ABOUT = (
    "A past roast as its screen showed it, moment by moment: nothing that came later is known. "
    "Below, the whole recording as a line with its marks: click it, or move along it with keys."
)

_SAY_TIP = "say where the roast stands: time, bean, rate, ahead or behind, what comes next"


def _quiet(key: str, action: str, words: str, shown: str | None = None) -> Binding:
    """A key for which the foot of the screen has no room."""
    return Binding(key, action, words, show=False, key_display=shown)


KEYS: list[BindingType] = [
    Binding("space", "play_or_pause", "play, pause", key_display="space"),
    Binding("left", "shift(-1)", "1 s", key_display="←", tooltip="a second back"),
    Binding("right", "shift(1)", "1 s", key_display="→", tooltip="a second on"),
    Binding("left_square_bracket", "mark_before", "mark", key_display="[", tooltip="mark before"),
    Binding("right_square_bracket", "next_mark", "mark", key_display="]", tooltip="next mark"),
    Binding("minus", "slower", "slower", key_display="-"),
    Binding("plus", "faster", "faster", key_display="+"),
    Binding("q", "leave", "back", tooltip="leave the replay"),
    Binding("question_mark", "keys", "keys", key_display="?", tooltip="all keys"),
    _quiet("shift+left", "shift(-10)", "ten seconds back", "shift ←"),
    _quiet("shift+right", "shift(10)", "ten seconds on", "shift →"),
    _quiet("pageup", "shift(-60)", "a minute back", "PgUp"),
    _quiet("pagedown", "shift(60)", "a minute on", "PgDn"),
    _quiet("comma", "step(-1)", "one reading back", ","),
    _quiet("full_stop", "step(1)", "one reading on", "."),
    _quiet("home", "begin", "to the beginning"),
    _quiet("end", "end", "to the end"),
    _quiet("v", "say_now", _SAY_TIP),
    _quiet("l", "lag", "the lag-corrected bean temperature as well, or no longer"),
    Binding("escape", "leave", "leave the replay", show=False, key_display="Esc"),
]
