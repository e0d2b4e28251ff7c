"""The curves that roasts were held against, as their figures need them."""

from __future__ import annotations

from contextlib import suppress

import numpy as np

from roastside.book.figures import TOLERANCE_C, Target
from roastside.book.store import Book
from roastside.book.versions import version_titled
from roastside.core.errors import RecordError, UsageError
from roastside.core.reference import Reference
from roastside.record.reference_file import read_reference_file


class Targets:
    """The curves of versions by the title that a roast's header gives, each read once."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._known: dict[str, tuple[int | None, Target | None]] = {}

    def named(self, title: str) -> tuple[int | None, Target | None]:
        """The version's id and its curve; None for what is not there or cannot be read."""
        if title not in self._known:
            version = version_titled(self._book, title) if title else None
            target = None
            if version is not None:
                with suppress(RecordError, UsageError):
                    file = read_reference_file(self._book.located(version.file))
                    target = target_of(file.reference)
            self._known[title] = (None if version is None else version.id, target)
        return self._known[title]


def target_of(reference: Reference) -> Target:
    """The curve of a reference, with the usual tolerance where it gives no corridor."""
    elapsed_s, bean_c, _ = reference.arrays
    corridor_c = reference.corridor_c or [TOLERANCE_C] * len(bean_c)
    return Target(elapsed_s, bean_c, np.array(corridor_c), reference.turning_point_s)
