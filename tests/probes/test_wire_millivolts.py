"""What lines of emf mean.

Expected temperatures: NIST Standard Reference Database 60, by its printed tables or through the
independent library `thermocouple-its90` (PyPI).
"""

from __future__ import annotations

import math
import re

import pytest
import thermocouple_its90
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.core.readings import HIGHEST_C, LOWEST_C, Reading
from roastside.probes.wire.lines import HOLD_S
from roastside.probes.wire.spec import parse_wire

AT_S = 12.5
SPEC = "millivolts:bean=1,cold=2,type=K"
WITH_AIR = "millivolts:bean=1,air=3,cold=2,type=K"


def read(data: bytes | str, spec: str = SPEC) -> list[Reading]:
    line = data if isinstance(data, bytes) else data.encode()
    return parse_wire(spec).feed(line + b"\n", AT_S)


def bean_c(data: bytes | str, spec: str = SPEC) -> float | None:
    [reading] = read(data, spec)
    return reading.bean_c


def independent_c(emf_mv: float, cold_c: float, kind: str = "K") -> float:
    """By another's library; NaN beyond its reach."""
    try:
        return thermocouple_its90.get(kind).temperature(emf_mv, reference=cold_c)
    except ValueError:
        return math.nan


@pytest.mark.parametrize(
    "line",
    [
        "4.096,25.0",
        " 4.096 , 25 ",
        "4.096;25.0",
        "4,096;25,0",
        "4.096\t25.0",
        "4.096 25.0",
        "4,096 25,0",
        "4.096mV,25.0C",
        "4.096 mV, 25.0 °C",
        "4.096 mV 25.0 C",
        "4.096 MV 25.0 c",
        "4096uV 77F",
        "4096 uV 298.15 K",
        "4096µV,25.0",
        "4096 μV 25.0 °C",
        b"4096\xb5V 25.0\xb0C",
        "emf=4.096 cold=25.0",
        "emf = 4.096 mV, board = 25.0 C",
        '"4.096","25.0"',
        '{"emf": 4.096, "cold": "25.0 C"}',
        "4.096,25.0,17,0.001mV",
        "4.096e0,2.5e1",
    ],
)
def test_4_096_mv_at_terminals_of_25_degrees_is_124_3_degrees(line: bytes | str) -> None:
    # Worked example of the documentation of `thermocouple-its90`; the naive look-up gives 100.0 °C.
    [reading] = read(line)
    assert reading.bean_c == pytest.approx(124.3, abs=0.05)
    assert (reading.time_s, reading.air_c, reading.extra) == (AT_S, None, {})


def test_fields_are_chosen_by_number_or_by_name() -> None:
    by_number = "millivolts:bean=3,cold=1,type=K"
    assert bean_c("25.0,7,4.096", by_number) == pytest.approx(124.3, abs=0.05)
    assert bean_c("DATA;25.0;4.096", "millivolts:bean=3,cold=2,type=K") == pytest.approx(
        124.3, 1e-3
    )
    by_name = "millivolts:bean=TC1,cold=CJ,type=K"
    assert bean_c("CJ: 25.0, TC1: 4.096", by_name) == pytest.approx(124.3, abs=0.05)
    assert bean_c('{"adc": {"cj": 25.0, "tc1": 4.096}}', by_name) == pytest.approx(124.3, abs=0.05)
    assert read("4.096,25.0", by_name) == []


def test_a_header_line_names_the_columns() -> None:
    wire = parse_wire("millivolts:bean=TC1,cold=CJ,type=K")
    [reading] = wire.feed(b"clock,CJ,TC1\n17,25.0,4.096\n", AT_S)
    assert reading.bean_c == pytest.approx(124.3, abs=0.05)


@pytest.mark.parametrize(
    ("kind", "measured_mv"),
    # Junction at 200 °C, terminals at 25 °C, by NIST SRD 60.
    [("K", 7.1382), ("J", 9.5015), ("T", 8.2961), ("E", 11.9262), ("N", 5.2548)],
)
def test_every_type_is_compensated_by_its_own_function(kind: str, measured_mv: float) -> None:
    spec = f"millivolts:bean=1,cold=2,type={kind.lower()}"
    assert bean_c(f"{measured_mv},25", spec) == pytest.approx(200.0, abs=0.003)


def test_further_probes_share_the_cold_junction() -> None:
    # NIST SRD 60: type K at 200 and at 100 °C over 25 °C, type J at 200 °C over 25 °C.
    [reading] = read("7.1382,25,3.0960,7.1382", WITH_AIR + ",exhaust_c=4")
    assert reading.bean_c == pytest.approx(200.0, abs=0.003)
    assert reading.air_c == pytest.approx(100.0, abs=0.003)
    assert reading.extra == {"exhaust_c": pytest.approx(200.0, abs=0.003)}
    [mixed] = read("7.1382,25,9.5015", WITH_AIR + ",air_type=J")
    assert mixed.bean_c == pytest.approx(200.0, abs=0.003)
    assert mixed.air_c == pytest.approx(200.0, abs=0.003)


def test_a_cold_junction_may_be_kept_constant() -> None:
    # NIST SRD 60, printed table of type K: 4.096 mV is 100 °C over an ice bath.
    assert bean_c("4.096", "millivolts:bean=1,cold=0C,type=K") == pytest.approx(100.0, abs=0.02)
    for cold in ("25C", "25 °C", "77F", "298.15K"):
        spec = f"millivolts:bean=1,cold={cold},type=K"
        assert bean_c("4.096", spec) == pytest.approx(124.3, abs=0.05)


def test_bare_numbers_may_be_microvolts() -> None:
    for unit in ("uV", "µV", "UV"):
        spec = f"{SPEC},unit={unit}"
        assert bean_c("4096,25", spec) == pytest.approx(124.3, abs=0.05)
        assert bean_c("4.096 mV,25", spec) == pytest.approx(124.3, abs=0.05)


@pytest.mark.parametrize(
    "line",
    [
        "nan,25.0",
        "open,25.0",
        ",25.0",
        "---;25,0",
        "4.096,nan",
        "4.096,",
        "4.096,err",
        "4.096,-40.1",
        "4.096,125.1",
        "4.096,298.15",  # kelvins without a K
        "4.096,-273.15C",
        "4.096,1e9",
        "256.0,25.0",  # an open input at full scale
        "4096,25.0",  # microvolts taken for millivolts
        "25.0,25.0",  # 600 °C: no roast
        "-7.5,25.0",
        "1e999,25.0",
        "4.096,1e999",
        "inf,25.0",
        '{"emf": null, "cold": 25.0}',
        '{"emf": 4.096, "cold": null}',
    ],
)
def test_without_an_emf_and_a_cold_junction_that_make_sense_the_reading_is_missing(
    line: str,
) -> None:
    assert read(line) == [Reading(AT_S, None)]


@pytest.mark.parametrize(
    "line",
    [
        "",
        ",",
        "OK",
        "4.096",
        "25.0",
        "4.096C,25.0",
        "124.3 °C, 25.0 °C",
        "4.096,25.0mV",
        "4.096 volts,25.0",
        "4.096V,25.0",
        "mV,C",
        "nanmV,25.0",
        "4.0mVmV,25.0",
        "4.096CmV,25.0",
        "Ready, 2 channels",
        "emf 4.096 mV at 25.0 C",
        "# 4.096,25.0",
        '{"emf": 4.096, "cold": 25.0',
        "٤,25",
        b"\x004.096,25.0",
        b"\xff4.096,25.0",
    ],
)
def test_what_is_no_line_of_emf_and_cold_junction_gives_nothing(line: bytes | str) -> None:
    wire = parse_wire(SPEC)
    assert wire.feed((line if isinstance(line, bytes) else line.encode()) + b"\n", AT_S) == []
    assert bool(wire.last_unread) == bool(line)


def test_one_probe_may_be_missing_while_the_other_is_there() -> None:
    [air_only] = read("open,25.0,4.096", WITH_AIR)
    assert air_only.bean_c is None
    assert air_only.air_c == pytest.approx(124.3, abs=0.05)
    [bean_only] = read("4.096,25.0", WITH_AIR)
    assert bean_only.bean_c == pytest.approx(124.3, abs=0.05)
    assert bean_only.air_c is None
    assert read("4.096,open,4.096", WITH_AIR) == [Reading(AT_S, None)]


@pytest.mark.parametrize(
    ("whole", "spec"),
    [
        (b"8.138,25.5\n", SPEC),
        (b"-0.051,25.5\r\n", SPEC),
        (b"12.209,24.75,11.3\n", WITH_AIR),
        (b"25.5,8.138\n", "millivolts:bean=2,cold=1,type=K"),
        (b"8138\n", "millivolts:bean=1,cold=25C,type=K,unit=uV"),
    ],
)
def test_a_first_line_that_lost_its_head_is_never_a_reading(whole: bytes, spec: str) -> None:
    [expected] = parse_wire(spec).feed(whole, 2.0)
    for cut in range(len(whole)):
        wire = parse_wire(spec)
        wire.begin(mid_line=True)
        assert wire.feed(whole[cut:], 1.0) == []
        assert wire.feed(whole, 2.0) == [expected] * (2 if cut == 0 else 1), whole[cut:]


def test_a_first_line_with_nothing_like_it_after_it_is_not_trusted() -> None:
    wire = parse_wire(SPEC)
    wire.begin(mid_line=True)
    assert wire.feed(b"8,25.5\n", 1.0) == []
    assert wire.feed(b"", 1.0 + HOLD_S) == []
    [next_one] = wire.feed(b"8,25.5\n", 5.0)
    assert next_one.time_s == 5.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("millivolts", "lacks bean, cold, type"),
        ("millivolts:bean=1,cold=2", "lacks type"),
        ("millivolts:bean=1,type=K", "lacks cold"),
        ("millivolts:cold=2,type=K", "lacks bean"),
        ("millivolts:bean=1,cold=2,type=X", "K, J, T, E, N"),
        ("millivolts:bean=1,cold=2,type=KJ", "K, J, T, E, N"),
        ("millivolts:bean=1,cold=2,type=K,air=3,air_type=B", "air_type"),
        ("millivolts:bean=1,cold=2,type=K,air_type=J", "no air"),
        ("millivolts:bean=1,cold=2,type=K,unit=V", "mV or uV"),
        ("millivolts:bean=1,cold=2,type=K,unit=F", "mV or uV"),
        ("millivolts:bean=1,cold=1,type=K", "same field"),
        ("millivolts:bean=1,cold=2,air=2,type=K", "same field"),
        ("millivolts:bean=0,cold=2,type=K", "count from 1"),
        ("millivolts:bean=1,cold=0,type=K", "count from 1"),
        ("millivolts:bean=1,cold=1000,type=K", "count from 1"),
        ("millivolts:bean=1,cold=25.5,type=K", "cold=25C"),
        ("millivolts:bean=1,cold=-1,type=K", "cold=25C"),
        ("millivolts:bean=1,cold=126C,type=K", "-40 to 125"),
        ("millivolts:bean=1,cold=25K,type=K", "-40 to 125"),
        ("millivolts:bean=1,cold=2,type=K,bean_c=3", "millivolts takes"),
        ("millivolts:bean=1,cold=2,type=K,exhaust_type=J", "millivolts takes"),
        ("millivolts:bean=1,cold=2,type=\x1b[2J", "K, J, T, E, N"),
        ("millivolts:bean=1,cold=" + "9" * 5000 + "C,type=K", "-40 to 125"),
    ],
)
def test_a_wire_that_is_not_understood_is_refused_with_a_sentence(text: str, says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        parse_wire(text)
    sentence = str(refusal.value)
    assert says in sentence
    assert sentence.endswith(".")
    assert sentence.isprintable()
    assert len(sentence) < 250


LINES = st.sampled_from(
    [
        b"4.096,25.0",
        b"4.100,25.0",
        b"8138 uV;25,5",
        b"nan,25.0",
        b"4.096,open",
        b"emf=4.096 mV cold=25 C",
        b'{"emf": 4.096, "cold": 25}',
        b"Hello 5",
        b"4.096\xb5V 25\xb0C",
    ]
)
STREAM = st.lists(
    st.tuples(
        st.one_of(LINES, st.binary(max_size=40)), st.sampled_from([b"\n", b"\r\n", b"\r", b""])
    ),
    max_size=12,
).map(lambda parts: b"".join(line + end for line, end in parts))


@settings(deadline=None)
@given(STREAM, st.booleans())
def test_byte_by_byte_is_the_same_as_at_once(stream: bytes, mid_line: bool) -> None:
    whole, singles = parse_wire(SPEC), parse_wire(SPEC)
    whole.begin(mid_line)
    singles.begin(mid_line)
    at_once = whole.feed(stream, AT_S)
    assert [r for byte in stream for r in singles.feed(bytes([byte]), AT_S)] == at_once
    assert (whole.lines_seen, whole.last_unread) == (singles.lines_seen, singles.last_unread)


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_garbage_never_raises_and_gives_only_possible_temperatures(noise: bytes) -> None:
    for spec in (SPEC, WITH_AIR, "millivolts:bean=a,cold=b,type=T,x_c=3,unit=uV"):
        for reading in parse_wire(spec).feed(noise + b"\n", AT_S):
            for degrees in (reading.bean_c, reading.air_c, *reading.extra.values()):
                assert degrees is None or LOWEST_C <= degrees <= HIGHEST_C


NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")


def numbers_in(line: str) -> set[float]:
    """Every number that stands in a line, with a comma as a separator and as a decimal sign."""
    return {
        float(found.replace(",", "."))
        for text in (line, line.replace(",", " "))
        for found in NUMBER.findall(text)
    }


@settings(deadline=None, max_examples=300)
@given(
    st.one_of(
        st.text(alphabet="0123456789.,; -+e\tmuµVCFKna", max_size=30),
        st.tuples(
            st.floats(-10.0, 20.0).map(lambda mv: f"{mv:.3f}"),
            st.sampled_from([",", ";", " ", "mV ", " uV,", "\t", "e-3,", "C,"]),
            st.floats(-60.0, 150.0).map(lambda c: f"{c:.2f}"),
            st.sampled_from(["", "C", " F", "K", "mV", ",7", ",nan"]),
        ).map("".join),
    )
)
def test_a_temperature_is_always_that_of_an_emf_and_a_cold_junction_in_the_line(line: str) -> None:
    numbers = numbers_in(line)
    cold = {c for n in numbers for c in (n, (n - 32.0) * 5.0 / 9.0, n - 273.15) if -41 < c < 126}
    for reading in read(line):
        if reading.bean_c is not None:
            emfs = (emf for n in numbers for emf in (n, n / 1000.0))
            assert any(
                abs(independent_c(emf, cold_c) - reading.bean_c) < 0.002
                for emf in emfs
                for cold_c in cold
            )


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(0.0, 300.0), st.floats(-40.0, 125.0).map(lambda cold_c: round(cold_c, 2))
        ),
        min_size=1,
        max_size=8,
    )
)
def test_every_roasting_temperature_is_read_back(measured: list[tuple[float, float]]) -> None:
    stream = "".join(
        f"{thermocouple_its90.TypeK.emf(hot_c, reference=cold_c):.6f} mV, {cold_c:.2f} C\n"
        for hot_c, cold_c in measured
    )
    readings = parse_wire(SPEC).feed(stream.encode(), AT_S)
    assert [each.bean_c for each in readings] == [
        pytest.approx(hot_c, abs=0.001) for hot_c, _ in measured
    ]
