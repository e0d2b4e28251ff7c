"""A trouble that repeats is told once."""

from __future__ import annotations

from collections.abc import Callable


class Once:
    """Passes on the first word on each matter. tell: shows a sentence to a person."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell
        self._told: set[str] = set()

    def __call__(self, matter: str, sentence: str) -> None:
        """Tell this, unless something was told on this matter before."""
        if matter not in self._told:
            self._told.add(matter)
            self._tell(sentence)

    def forget(self, *matters: str) -> None:
        """These are over: should they come again, that is news."""
        self._told.difference_update(matters)
