"""Ending what a power cut left half done in a home, before anything is read from it."""

from __future__ import annotations

import os
from pathlib import Path

from roastside.book.exchange import is_under_way


def end_restoring(home: Path) -> str:
    """Restore the rest of a backup where that was cut short; what was done, or why it cannot be.

    Empty, at the cost of one look at the disk, if nothing was. Raises nothing.
    """
    if not is_under_way(home):
        return ""
    from roastside.book.exchange import finish
    from roastside.book.store import writers_lock
    from roastside.core.errors import BookError
    from roastside.core.text import clean

    lock, why_not = writers_lock(home)
    if lock is None:
        return f"A backup is being restored, or that was cut short and waits, as {why_not}."
    try:
        aside = finish(home)
    except BookError as error:
        return f"{str(error)[:1].upper()}{str(error)[1:]}."
    finally:
        os.close(lock)
    kept = f"; what was there before is kept in {clean(str(aside))}" if aside != home else ""
    return f"Restoring a backup had been cut short, and was ended now{kept}."
