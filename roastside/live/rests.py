"""Rests of recordings that a full disk left elsewhere: put together again, or told of."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from roastside.live.home import rescue_folders

_TOLD = 3
_LIKE_A_REST = "-rest-"
"""What reads rests is not imported unless something is called so: Today is to be there at once."""


def join_rests(make: bool = True) -> str:
    """Put every rest to its recording that can be; what was done and what could not, in sentences.

    `make`: the folder of recordings, if it is not there.
    Empty, at the cost of looking through the folders of rests, if there are none. Raises nothing.
    """
    folders = dict.fromkeys(rescue_folders(make))
    found = [rest for folder in folders for rest in _rests(folder)]
    if not found:
        return ""
    from roastside.core.errors import RoastsideError
    from roastside.core.text import clean
    from roastside.live.under_way import noted_under_way
    from roastside.record.rest import join_rest, until_s

    # What may still be gone on with is not moved before the person was asked.
    asked = {Path(note.recording) for note, _ in noted_under_way()}
    joined: dict[Path, None] = {}
    troubles: list[str] = []
    for rest in sorted(found, key=until_s):
        try:
            if rest.absolute() in asked:
                continue
            recording = join_rest(rest)
        except (RoastsideError, OSError) as error:
            troubles.append(clean(str(error), 2000))
        else:
            joined |= {recording: None} if recording is not None else {}
    told = [f"{clean(path.name)} is whole again." for path in joined]
    return " ".join(told + troubles[:_TOLD])


def _rests(folder: Path) -> list[Path]:
    """What may be rests of this person."""
    with suppress(OSError), os.scandir(folder) as entries:
        names = [entry.name for entry in entries if _LIKE_A_REST in entry.name]
        return [folder / name for name in sorted(names) if name.endswith(".csv")]
    return []
