"""The keys of the Roast screen."""

from __future__ import annotations

from textual.binding import Binding, BindingType

ABOUT = (
    "Large figures: elapsed, bean, rate of rise, seconds ahead or behind, what comes next. Below: "
    "the corridor, your roast against its reference, dotted where it is heading; then the whole "
    "roast."
)

STILL_WORK_WHEN_OVER = ("end", "keys", "lag")
"""Actions that have a use once the roast is over."""

_LAG_TIP = "the lag-corrected bean temperature as well, or no longer"
_SAY_TIP = "say where the roast stands: time, bean, rate, ahead or behind, what comes next"

KEYS: list[BindingType] = [
    Binding("c", "mark('charge')", "charge", tooltip="charge: the beans are in"),
    Binding("f", "mark('first_crack')", "crack", tooltip="first crack begins"),
    Binding("d", "mark('drop')", "drop", tooltip="drop: the beans are out"),
    Binding("u", "undo", "undo", tooltip="take back the last mark, or its move"),
    Binding("b", "step_back", "5 s ago", tooltip="move the last mark 5 seconds back"),
    Binding("q", "end", "end", tooltip="end the roast (asks first)"),
    Binding("question_mark", "keys", "keys", key_display="?", tooltip="all keys"),
    Binding("n", "note", "note", tooltip="write a note"),
    Binding("k", "control", "control", tooltip="write down a control you changed"),
    Binding("h", "hush", "hush", tooltip="hush all sound for a minute, or end the hush"),
    Binding("v", "say_now", "say it now", show=False, tooltip=_SAY_TIP),
    Binding("l", "lag", "lag", show=False, tooltip=_LAG_TIP),
    Binding("a", "acknowledge", "alerts seen", show=False),
    Binding("y", "mark('yellowing')", "yellowing", show=False),
    Binding("t", "mark('turning_point')", "turning point", show=False),
    Binding("e", "mark('first_crack_end')", "first crack ends", show=False),
    Binding("s", "mark('second_crack')", "second crack", show=False),
]
