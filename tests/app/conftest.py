"""What all tests of the app share."""

from __future__ import annotations

from functools import partial

import pytest
import textual.pilot
from textual._wait import wait_for_idle

IDLE_S = 0.1


@pytest.fixture(autouse=True)
def impatient_pilot(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside a roast the process is never idle, and a pilot waits a whole second for it per key.

    What a key does is waited for by itself, in each test.
    """
    impatient = partial(wait_for_idle, max_sleep=IDLE_S)
    monkeypatch.setattr(textual.pilot, "wait_for_idle", impatient)
