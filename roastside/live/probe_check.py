"""A probe check that runs in the background while a screen shows it."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from roastside.core.errors import RoastsideError
from roastside.live.calibrating import BathStep
from roastside.live.check import Check
from roastside.live.watch import unread_hint
from roastside.probes.bath import Settling
from roastside.probes.calibrate import Calibration, Point

_WAIT_S = 0.1


@dataclass(frozen=True, slots=True)
class CheckView:
    """The check just now. `step` is None when all baths are done; `silent`: nothing comes
    from the probe; `trouble` is why it cannot go on, or empty."""

    step: BathStep | None
    settling: Settling
    measured: tuple[tuple[BathStep, Point], ...]
    silent: bool
    trouble: str


class ProbeCheck:
    """Reads the probe in a thread of its own; everything else may be called from any thread."""

    def __init__(self, check: Check) -> None:
        self._check = check
        self._lock = threading.Lock()
        self._stopping = threading.Event()
        self._trouble = ""
        self._thread = threading.Thread(target=self._run, name="probe check", daemon=True)

    @property
    def name(self) -> str:
        """Which probe, in words."""
        return f"{self._check.calibrating.channel} on {self._check.source.name}"

    def open(self) -> None:
        """Open the device and begin. Raises ProbeError."""
        self._check.source.open()
        self._thread.start()

    def end(self) -> None:
        """Let go of the device. May be repeated."""
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join()

    def view(self) -> CheckView:
        """How it stands."""
        calibrating = self._check.calibrating
        with self._lock:
            return CheckView(
                calibrating.step,
                calibrating.settling,
                tuple(calibrating.measured),
                calibrating.silent(self._check.source.now_s()),
                self._trouble,
            )

    def hint(self) -> str:
        """What a line that cannot be read says; empty if all could be read."""
        return unread_hint(self._check.source)

    def skip(self) -> None:
        """Leave this bath out."""
        with self._lock:
            self._check.calibrating.skip()

    def outcome(self) -> list[str]:
        """What came of it, in sentences."""
        with self._lock:
            return self._check.outcome()

    def keep(self) -> Calibration | None:
        """Store what came of it; None if no bath was measured. Raises UsageError or StoreError."""
        with self._lock:
            calibration = self._check.calibration()
        if calibration is not None:
            self._check.keep(calibration)
        return calibration

    def _run(self) -> None:
        source, calibrating = self._check.source, self._check.calibrating
        try:
            while not (self._stopping.is_set() or source.ended):
                items = source.read(_WAIT_S)
                with self._lock:
                    for item in items:
                        calibrating.feed(item)
        except RoastsideError as error:
            self._trouble = str(error)
        except Exception as error:
            # A bug must not vanish with its thread.
            self._trouble = f"roastside stumbled ({type(error).__name__}: {error}); please tell us"
            raise
        finally:
            source.close()
