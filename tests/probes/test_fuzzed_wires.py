"""A slice of the corpus through every wire; `python tests/probes/corpus.py` sends a million."""

from __future__ import annotations

import pytest

from tests.probes.corpus import (
    LINES,
    MILLIVOLTS,
    Exchange,
    Line,
    exchanges,
    millivolt_lines,
    noise_lines,
    text_lines,
    troubles_of_exchanges,
    troubles_of_lines,
    troubles_of_noise,
)

SEED = 2026


def test_every_text_line_between_garbage_is_read_and_nothing_is_invented() -> None:
    assert list(troubles_of_lines(LINES, text_lines(25_000, SEED), SEED)) == []


def test_every_line_of_emf_between_garbage_is_read_and_nothing_is_invented() -> None:
    assert list(troubles_of_lines(MILLIVOLTS, millivolt_lines(15_000, SEED), SEED)) == []


@pytest.mark.parametrize("spec", [LINES, "lines:bean=2,air=1,bean_unit=F", "lines:decimal=comma"])
def test_lines_of_chance_give_no_temperature_that_does_not_stand_in_them(spec: str) -> None:
    assert list(troubles_of_noise(spec, noise_lines(8_000, SEED))) == []


def test_spoiled_answers_of_modbus_devices_give_no_registers() -> None:
    assert list(troubles_of_exchanges(exchanges(10_000, SEED))) == []


def test_the_search_for_troubles_finds_what_is_lost_invented_and_changed() -> None:
    good = Line(b"203.4,231.0\n", (203.4, 231.0))
    for lines in (
        [good._replace(data=b"nothing\n")],
        [good._replace(said=None)],
        [good._replace(said=(203.5, 231.0))],
    ):
        assert list(troubles_of_lines(LINES, iter(lines), SEED))
    assert list(troubles_of_noise("lines:unit=K", iter([b"300,C\n", b"26.85\n"]))) == []
    assert list(troubles_of_noise(MILLIVOLTS, iter([b"4.096,25.0\n"])))
    [told] = exchanges(1, SEED)
    assert list(troubles_of_exchanges(iter([Exchange(told.ask, told.came, (7, 7, 7, 7, 7, 7, 7))])))
