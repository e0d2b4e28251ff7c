"""What stays as long as the app does is not looked through for garbage again and again."""

from __future__ import annotations

import gc


def spare_what_stays() -> None:
    """Leave what exists at the app's first paint out of every later garbage collection.

    Modules, widgets and styles are some hundred thousand objects that live to the end. Opening 50
    roasts over each other sets the collector off, and looking through all of them held the screen
    up by 40 to 60 ms (`benchmarks/log.py`). Only once: a screen that is closed is garbage, and
    would be kept for ever if it were spared as well.
    """
    if not gc.get_freeze_count():
        gc.freeze()
