"""A recording that was cut short, taken up again."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from roastside.core.errors import RecordError, StoreError
from roastside.core.text import clean
from roastside.record import disk
from roastside.record.format import AIR, KNOWN_COLUMNS, recording_columns
from roastside.record.reader import RoastFile, read_roast_file
from roastside.record.recorder import Recorder
from roastside.record.tail import line_end


class ResumedRecorder(Recorder):
    """Appends to a recording that is there already, in the columns it has; rewrites nothing.

    `found` is the roast as it was when it was cut short. A line that was torn by the cut stays as
    it is, and readers go on passing it over.
    """

    def __init__(self, path: str | os.PathLike[str], rescue_dirs: Sequence[Path] = ()) -> None:
        """Raises RecordError if the file cannot be read or no recorder laid it out."""
        self.found: RoastFile = read_roast_file(path)
        further = [name for name in self.found.columns if name not in KNOWN_COLUMNS]
        if AIR not in self.found.columns or recording_columns(further) != self.found.columns:
            raise RecordError(
                f"{clean(str(path))} was not recorded by roastside, so it cannot be gone on with; "
                "begin a new recording."
            )
        super().__init__(path, self.found.header, further, rescue_dirs)

    def open(self) -> None:
        """Lock the file and end its last line. Raises StoreError if nothing can be added to it."""
        fd = disk.open_for_appending(self.path)
        try:
            # Only now is it certain that nobody else writes.
            self.found = read_roast_file(self.path)
            disk.write_all(fd, line_end(self.found))
        except OSError as error:
            os.close(fd)
            raise StoreError(
                f"The recording {clean(str(self.path))} cannot be gone on with "
                f"({disk.reason(error)}); free some space, or begin a new recording."
            ) from error
        except BaseException:
            os.close(fd)
            raise
        self._begin(fd)
