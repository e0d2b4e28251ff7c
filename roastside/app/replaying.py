"""What the Replay screen draws and says, from a replay."""

from __future__ import annotations

from dataclasses import replace

from rich.text import Text

from roastside.app import telling
from roastside.app.draw.area import VerticalMark
from roastside.app.moment import Moment
from roastside.app.widgets.scrubber import ScrubberData
from roastside.core.readings import MarkName
from roastside.live.board import Line
from roastside.live.replay import Replay

_SHORT = {
    MarkName.CHARGE: "charge",
    MarkName.TURNING_POINT: "turn",
    MarkName.YELLOWING: "yellow",
    MarkName.FIRST_CRACK: "crack",
    MarkName.SECOND_CRACK: "2nd",
    MarkName.DROP: "drop",
}
"""Marks on the scrubber; there is little room for their names."""


def moment_of(replay: Replay) -> Moment:
    """The moment shown; at the end with the last word on the roast, as the live screen had it."""
    moment = Moment(replay.view(), replay.now_s, replay.plan, replay.reference)
    verdict = telling.verdict(moment, replay.plan.degrees)
    if not verdict:
        return moment
    log = (*moment.view.log, Line(moment.now_s, "mark", verdict))
    return replace(moment, view=replace(moment.view, log=log))


def scrubber_data(replay: Replay) -> ScrubberData:
    """Where the replay stands, on the clock of the roast as its marks are in the end."""
    zero_s, head = zero_of(replay), replay.playhead
    return ScrubberData(
        x_range=(head.begin_s - zero_s, head.end_s - zero_s),
        at_s=head.position_s - zero_s,
        read_to_s=replay.boards.until_s - zero_s,
        marks=[
            VerticalMark(at_s - zero_s, _SHORT.get(MarkName(name), ""))
            for name, at_s in replay.marks.items()
        ],
        playing=head.playing,
        speed=head.speed,
    )


def zero_of(replay: Replay) -> float:
    """Where the scrubber's clock is at zero, stream seconds: at charge, if there is one."""
    return replay.marks.get(MarkName.CHARGE, replay.boards.begin_s)


def status(replay: Replay, moment: Moment, said: str, width: int) -> Text:
    """One line: what is replayed, what it is held against, what the other probes measured.

    Something just `said` to the person takes the place of the first two for a while.
    """
    left = replay.title
    if replay.reference is not None:
        left += f" · against {replay.reference.title}"
    right = "replay"
    others = telling.other_probes(moment)
    if others and len(others) + len(right) < 2 * width // 3:
        right = f"{others}  {right}"
    said = replay.trouble or said
    line = Text(said or left, style="bold reverse" if said else "", no_wrap=True)
    line.truncate(max(width - len(right) - 4, 1), overflow="ellipsis", pad=True)
    return Text.assemble(line, "  ", (right, "bold"))
