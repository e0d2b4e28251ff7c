"""What is known of a roast under way, kept so that it can be gone on with after a crash."""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from roastside.core.plan import Align, RoastPlan
from roastside.core.readings import MarkName
from roastside.core.stages import Marks
from roastside.live.home import under_way
from roastside.live.line import Line
from roastside.probes.source import Source

_PLANNED = (
    "tolerance_c",
    "tolerance_s",
    "yellowing_c",
    "first_crack_c",
    "development_s",
    "development_ratio",
)
"""What of a plan may differ from roast to roast; the rest is as the settings say."""


Note = Callable[[Path], Callable[[], None]]
"""Notes a recording as under way; what is given back takes the note away."""


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A recording that was begun and, as far as this note knows, not ended.

    `began_unix_s`: this machine's clock, seconds since 1970, when the recording's clock stood at 0.
    `reference`: path of the roast file it is held against, or empty.
    """

    recording: str
    began_unix_s: float
    lines: tuple[Line, ...]
    reference: str
    align: str
    planned: dict[str, float | None]

    def plan(self, usual: RoastPlan) -> RoastPlan:
        """The plan of this roast; what is not its own is as usual."""
        own: dict[str, Any] = {name: self.planned.get(name) for name in _PLANNED}
        return replace(usual, align=Align(self.align), **own)


def note_under_way(
    recording: Path, source: Source, lines: Sequence[Line], reference: str, plan: RoastPlan
) -> Callable[[], None]:
    """Keep a note of a roast that begins; what is given back takes it away at its end.

    A note that cannot be kept costs only the offer to go on after a crash.
    """
    note = UnderWay(
        recording=str(recording.absolute()),
        began_unix_s=round(time.time() - source.now_s(), 3),
        lines=tuple(lines),
        reference=str(Path(reference).absolute()) if reference else "",
        align=str(plan.align),
        planned={name: getattr(plan, name) for name in _PLANNED},
    )
    # Two recordings of the same name, in two folders, are two roasts.
    mark = hashlib.sha256(os.fsencode(recording.absolute())).hexdigest()[:16]
    path = under_way() / f"{mark}.json"
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        unfinished = path.with_suffix(".new")
        unfinished.write_text(json.dumps(asdict(note), indent=1), encoding="utf-8")
        unfinished.replace(path)

    def forget() -> None:
        with suppress(OSError):
            path.unlink()

    return forget


def beans_inside(marks: Marks) -> bool:
    """Whether there are beans in the roaster, by what was marked."""
    return marks.time_s(MarkName.CHARGE) is not None and marks.time_s(MarkName.DROP) is None


def noted_under_way() -> list[tuple[UnderWay, Path]]:
    """The notes that were not taken away, newest first, and where they are.

    What cannot be read is passed over.
    """
    found = []
    with suppress(OSError):
        for path in under_way().glob("*.json"):
            with suppress(OSError, ValueError, TypeError, KeyError):
                words = json.loads(path.read_text(encoding="utf-8"))
                lines = tuple(Line(**line) for line in words.pop("lines"))
                found.append((UnderWay(lines=lines, **words), path))
    return sorted(found, key=lambda each: each[0].began_unix_s, reverse=True)
