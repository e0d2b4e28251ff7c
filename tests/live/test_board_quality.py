"""The board carries how well the bean probe is sampled, for whichever screen shows it."""

from __future__ import annotations

import time

import pytest

from roastside.core.session import Session
from roastside.core.trust import quality_words
from roastside.live.roast import LiveRoast
from roastside.probes.replay import ReplaySource
from scripts.make_fixtures import FIXTURES


def test_the_board_knows_the_sampling_of_the_last_minute() -> None:
    roast = LiveRoast(ReplaySource(FIXTURES / "house-good-repeat-2.csv", None), Session())
    roast.open()
    assert roast.board.view().quality.readings == 0
    roast.start()
    while not roast.over:
        time.sleep(0.01)
    roast.end()
    quality = roast.board.view().quality
    # Its adapter gives a reading every quarter second (fixtures/README.md).
    assert quality.readings_per_s == pytest.approx(4.0)
    assert quality_words(quality)[0] == "4.0 readings a second, steady (±0 ms)"
