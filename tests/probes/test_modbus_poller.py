"""Asking again and again, with bytes and times by hand."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.probes.modbus_frames import Ask
from roastside.probes.modbus_poller import ANSWER_S, LATE_S, Poller, silence_s
from roastside.probes.modbus_registers import Block
from roastside.probes.wire.modbus_spec import modbus_spec
from roastside.probes.wire.spec import wire_options
from tests.probes.modbus_bytes import answer, frame

BOTH = Ask(1, 4, Block(0, 2)).frame()
AIR = Ask(1, 4, Block(9, 1)).frame()
BEAN = Ask(1, 4, Block(0, 1)).frame()
GOOD = answer(2035, 2285)

Found = Mapping[str, float | None]


class Bench:
    """A poller and the time that it is told."""

    def __init__(self, options: str = "bean=0,air=1,scale=0.1", baud: int = 9600) -> None:
        self.poller = Poller(modbus_spec(wire_options(f"modbus:{options}")), baud)
        self.now_s = 100.0
        self.poller.begin(self.now_s)

    def asks(self) -> bytes:
        """What it sends as soon as it has something to do; time passes until then."""
        self.now_s += self.poller.wait_s(self.now_s)
        return self.poller.request(self.now_s)

    def hears(self, data: bytes, after_s: float = 0.02) -> Found | None:
        self.now_s += after_s
        return self.poller.feed(data, self.now_s)

    def gives_up(self) -> None:
        assert self.asks() == b""


@pytest.mark.parametrize(
    ("baud", "milliseconds"), [(4800, 8.021), (9600, 4.010), (19200, 2.005), (115200, 1.750)]
)
def test_frames_are_parted_by_the_published_silence(baud: int, milliseconds: float) -> None:
    # Source: MODBUS over Serial Line V1.02, 2.5.1.1: 3.5 characters of 11 bits; 1.75 ms when fast.
    assert silence_s(baud) * 1000.0 == pytest.approx(milliseconds, abs=0.001)


def test_a_poll_asks_and_gives_what_was_answered() -> None:
    bench = Bench()
    assert bench.asks() == BOTH
    assert bench.poller.request(bench.now_s) == b""
    assert bench.hears(GOOD) == {"bean": 203.5, "air": 228.5}
    assert bench.poller.trouble == ""


def test_polls_keep_their_pace() -> None:
    bench = Bench()
    began_s = []
    for _ in range(4):
        assert bench.asks() == BOTH
        began_s.append(round(bench.now_s - 100.0, 6))
        bench.hears(GOOD, after_s=0.3)
    assert began_s == [0.0, 0.5, 1.0, 1.5]


def test_a_poll_that_took_too_long_is_not_made_up_for() -> None:
    bench = Bench("bean=0,every=100", baud=1200)
    began_s = []
    for took_s in (0.45, 0.02, 0.02):
        assert bench.asks() == BEAN
        began_s.append(round(bench.now_s - 100.0, 3))
        bench.hears(answer(200), after_s=took_s)
    # The second begins when the line has been silent long enough: 3.5 * 11 / 1200 s = 0.032 s.
    assert began_s == [0.0, 0.482, 0.582]


def test_an_answer_may_come_byte_by_byte() -> None:
    bench = Bench()
    bench.asks()
    heard = [bench.hears(bytes([byte]), after_s=0.001) for byte in GOOD]
    assert heard == [None] * (len(GOOD) - 1) + [{"bean": 203.5, "air": 228.5}]


def test_a_question_that_comes_back_as_an_echo_is_no_answer() -> None:
    bench = Bench()
    bench.asks()
    assert bench.hears(BOTH[:3]) is None
    assert bench.hears(BOTH[3:]) is None
    assert bench.hears(GOOD) == {"bean": 203.5, "air": 228.5}
    bench.asks()
    assert bench.hears(BOTH + GOOD) == {"bean": 203.5, "air": 228.5}


def test_an_echo_may_be_longer_than_the_answer_and_come_byte_by_byte() -> None:
    bench = Bench("bean=0,scale=0.1")
    assert bench.asks() == BEAN
    assert [bench.hears(bytes([byte]), 0.001) for byte in BEAN] == [None] * 8
    assert bench.hears(answer(2035)) == {"bean": 203.5}


def test_an_echo_alone_is_no_answer() -> None:
    bench = Bench()
    bench.asks()
    bench.hears(BOTH)
    bench.gives_up()
    assert bench.poller.trouble == "no answer from unit 1 at 9600 baud"


def test_no_answer_is_no_reading_and_told() -> None:
    bench = Bench()
    assert bench.asks() == BOTH
    bench.gives_up()
    assert bench.now_s >= 100.0 + ANSWER_S
    assert bench.poller.trouble == "no answer from unit 1 at 9600 baud"
    assert bench.asks() == BOTH
    bench.hears(GOOD)
    assert bench.poller.trouble == ""


def test_a_late_answer_is_not_taken_for_the_answer_to_the_next_question() -> None:
    bench = Bench("bean=0,air=9,scale=0.1")
    assert bench.asks() == AIR
    bench.gives_up()
    assert bench.hears(answer(2285), after_s=0.9) is None  # the air's, much too late
    assert bench.poller.request(bench.now_s + 0.05) == b""
    assert bench.asks() == BEAN
    assert bench.hears(answer(2035)) == {"bean": 203.5, "air": None}
    assert bench.poller.trouble == "no answer from unit 1 at 9600 baud"


def test_a_garbled_answer_is_no_reading_and_its_rest_is_waited_for() -> None:
    bench = Bench("bean=0,air=1,scale=0.1,every=100")
    bench.asks()
    assert bench.hears(GOOD[:-1] + b"\0", after_s=0.09) is None
    assert bench.poller.trouble == "no answer that can be read from unit 1 at 9600 baud"
    heard_s = bench.now_s
    assert bench.hears(GOOD) is None  # nobody asked for that
    assert bench.asks() == BOTH
    assert bench.now_s >= heard_s + 0.1
    assert bench.hears(GOOD) == {"bean": 203.5, "air": 228.5}


def test_part_of_an_answer_is_told_apart_from_none() -> None:
    bench = Bench()
    bench.asks()
    assert bench.hears(GOOD[:-2]) is None
    bench.gives_up()
    assert bench.poller.trouble == "no answer that can be read from unit 1 at 9600 baud"


def test_the_answer_of_another_unit_is_not_ours() -> None:
    bench = Bench()
    bench.asks()
    assert bench.hears(answer(2035, 2285, unit=2)) is None
    assert bench.poller.trouble == "no answer that can be read from unit 1 at 9600 baud"


@pytest.mark.parametrize(
    ("code", "trouble"),
    [
        (1, "unit 1 does not know function 4 (error 1)"),
        (2, "unit 1 has no registers 0 to 1 for function 4 (error 2)"),
        (4, "unit 1 refuses registers 0 to 1 (error 4)"),
    ],
)
def test_a_refusal_is_a_missing_reading(code: int, trouble: str) -> None:
    bench = Bench()
    bench.asks()
    assert bench.hears(frame(f"01 84 {code:02x}")) == {"bean": None, "air": None}
    assert bench.poller.trouble == trouble
    bench.asks()
    bench.hears(GOOD)
    assert bench.poller.trouble == ""


def test_one_probe_refused_leaves_the_other() -> None:
    bench = Bench("bean=0,air=9,scale=0.1")
    assert bench.asks() == AIR
    assert bench.hears(frame("01 84 02")) is None
    assert bench.asks() == BEAN
    assert bench.hears(answer(2035)) == {"bean": 203.5, "air": None}
    assert bench.poller.trouble == "unit 1 has no register 9 for function 4 (error 2)"
    assert bench.asks() == AIR
    assert bench.hears(answer(2285)) is None
    assert bench.asks() == BEAN
    assert bench.hears(frame("01 84 02")) == {"bean": None, "air": 228.5}


def test_a_poll_never_gives_a_temperature_of_the_poll_before() -> None:
    bench = Bench("bean=0,air=9,scale=0.1")
    for air in (answer(2285), frame("01 84 06")):
        assert bench.asks() == AIR
        bench.hears(air)
        assert bench.asks() == BEAN
        found = bench.hears(answer(2035))
    assert found == {"bean": 203.5, "air": None}


def test_a_line_that_came_back_is_asked_anew() -> None:
    bench = Bench("bean=0,air=9,scale=0.1")
    bench.asks()
    bench.hears(answer(2285))
    assert bench.asks() == BEAN
    bench.hears(answer(2035)[:3])
    bench.poller.begin(bench.now_s)
    assert bench.hears(answer(2035)[3:]) is None
    assert bench.asks() == AIR


def test_a_flood_is_no_answer_and_is_told_at_once() -> None:
    bench = Bench()
    bench.asks()
    head = GOOD[:2] + b"\xff"
    assert [bench.hears(part, 0.0) for part in (head, *[bytes(64)] * 40)] == [None] * 41
    assert bench.poller.trouble == "no answer that can be read from unit 1 at 9600 baud"
    assert bench.asks() == BOTH
    assert bench.hears(GOOD) == {"bean": 203.5, "air": 228.5}


@settings(deadline=None)
@given(st.lists(st.tuples(st.binary(max_size=24), st.floats(0.0, 3.0)), max_size=20))
def test_noise_is_never_a_reading_and_never_stops_it(noise: list[tuple[bytes, float]]) -> None:
    bench = Bench()
    for data, after_s in noise:
        bench.poller.request(bench.now_s)
        found = bench.hears(data, after_s)
        assert found is None or set(found.values()) == {None}  # a refusal fits in five bytes
    bench.now_s += ANSWER_S + LATE_S + 1.0
    while not (request := bench.asks()):
        pass
    assert request == BOTH
    assert bench.hears(GOOD) == {"bean": 203.5, "air": 228.5}
