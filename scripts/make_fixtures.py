"""Makes the roast files in fixtures/ and the demo's reference, always the same to the byte.

    python scripts/make_fixtures.py

The shop, its people and its coffees are invented: Millrace Bakery & Café, where Ines and Tomas
roast on a compact electric machine in the corner. The roasts come from the practice roaster.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

from roastside.core.events import Marked
from roastside.core.readings import Item, Mark, MarkName, MarkSource, Reading
from roastside.core.session import Session
from roastside.probes.practice import PracticeBatch, Script, Sensor, Turn
from roastside.probes.roaster import Beans
from roastside.record.recorder import Recorder

ROOT = Path(__file__).resolve().parent.parent
FIXTURES = ROOT / "fixtures"
DEMO_REFERENCE = ROOT / "roastside" / "live" / "house-espresso-v3.csv"

_FIRST_DAY = datetime(2026, 3, 2, 7, 14, 9, tzinfo=timezone(timedelta(hours=1)))

_DECAF = Script(
    beans=Beans(weight_kg=0.5, moisture=0.10, first_crack_c=189.0),
    preheat_c=182.0,
    turns=(
        Turn(0.0, "heat", 62.0),
        Turn(0.0, "air", 30.0),
        Turn(240.0, "heat", 61.0),
        Turn(420.0, "heat", 56.0),
        Turn(420.0, "air", 35.0),
    ),
    development_s=80.0,
)


@dataclass(frozen=True)
class Fixture:
    """One file: its script and what it is there to show."""

    name: str
    title: str
    coffee: str
    shows: str
    script: Script
    roasted_weight_g: float
    reference: str = ""
    remarks: dict[float, str] = field(default_factory=dict)
    moved: tuple[Mark, ...] = ()


_HOUSE = Script()


def _house(seed: int, turns: dict[float, float] | None = None, **changes: object) -> Script:
    """The house script with heat set otherwise at some elapsed times (percent)."""
    base = tuple(
        turn
        for turn in _HOUSE.turns
        if not (turns and turn.control == "heat" and turn.elapsed_s >= min(turns))
    )
    extra = tuple(Turn(at, "heat", percent) for at, percent in (turns or {}).items())
    ordered = tuple(sorted(base + extra, key=lambda turn: turn.elapsed_s))
    return replace(_HOUSE, seed=seed, turns=ordered, **changes)  # type: ignore[arg-type]


FIXTURE_LIST = (
    Fixture(
        "house-espresso-v3.csv",
        "House espresso v3",
        "Quarry Road natural and Fenmoor washed",
        "the dialled-in house reference; every house roast below is held against it",
        _house(3, sensor=Sensor(noise_sd_c=0.08)),
        1284.0,
    ),
    Fixture(
        "decaf-small-v1.csv",
        "Small decaf v1",
        "Lantern Hill decaf",
        "the dialled-in reference for a half-kilogram decaf",
        replace(_DECAF, seed=4, sensor=Sensor(noise_sd_c=0.08)),
        436.0,
    ),
    Fixture(
        "house-good-repeat-1.csv",
        "House espresso, batch 12",
        "Quarry Road natural and Fenmoor washed",
        "a good repeat: nothing worth an alert",
        _house(11),
        1281.0,
        "House espresso v3",
    ),
    Fixture(
        "house-good-repeat-2.csv",
        "House espresso, batch 13",
        "Quarry Road natural and Fenmoor washed",
        "a good repeat at four readings a second, first crack marked late and back-dated",
        _house(12, sensor=Sensor(interval_s=0.25)),
        1279.0,
        "House espresso v3",
        moved=(Mark(-4.0, MarkName.FIRST_CRACK, note="heard a little earlier"),),
    ),
    Fixture(
        "decaf-good-repeat.csv",
        "Small decaf, batch 4",
        "Lantern Hill decaf",
        "a good repeat of the small decaf",
        replace(_DECAF, seed=14),
        437.0,
        "Small decaf v1",
    ),
    Fixture(
        "house-slow-browning.csv",
        "House espresso, batch 14",
        "Quarry Road natural and Fenmoor washed",
        "heat cut too early: falls behind through browning and never catches up",
        _house(15, {240.0: 64.0, 480.0: 70.0, 560.0: 66.0}),
        1287.0,
        "House espresso v3",
        remarks={250.0: "queue at the counter, forgot the heat"},
    ),
    Fixture(
        "house-too-hot.csv",
        "House espresso, batch 15",
        "Quarry Road natural and Fenmoor washed",
        "heat left too high: runs ahead and cracks early",
        _house(16, {150.0: 95.0, 480.0: 90.0, 560.0: 72.0}, development_s=90.0),
        1262.0,
        "House espresso v3",
    ),
    Fixture(
        "house-stall.csv",
        "House espresso, batch 16",
        "Quarry Road natural and Fenmoor washed",
        "heat turned off before first crack and noticed late: the roast stalls for over a minute",
        _house(17, {400.0: 0.0, 570.0: 100.0, 640.0: 75.0}),
        1290.0,
        "House espresso v3",
    ),
    Fixture(
        "house-cold-charge.csv",
        "House espresso, batch 17",
        "Quarry Road natural and Fenmoor washed",
        "charged 22 °C too cold: behind from the turning point on",
        _house(18, preheat_c=183.0),
        1288.0,
        "House espresso v3",
    ),
    Fixture(
        "house-probe-unplugged.csv",
        "House espresso, batch 18",
        "Quarry Road natural and Fenmoor washed",
        "the probe cable was pulled for forty seconds in browning",
        _house(19, sensor=Sensor(silent_from_s=380.0, silent_to_s=420.0)),
        1280.0,
        "House espresso v3",
    ),
    Fixture(
        "house-spikes.csv",
        "House espresso, batch 19",
        "Quarry Road natural and Fenmoor washed",
        "electrical spikes: one reading in fifty is wild, the roast itself is good",
        _house(20, sensor=Sensor(spike_share=0.02)),
        1282.0,
        "House espresso v3",
    ),
    Fixture(
        "house-coarse-probe.csv",
        "House espresso, batch 20",
        "Quarry Road natural and Fenmoor washed",
        "an adapter of whole degrees every two seconds; the roast itself is good",
        _house(21, sensor=Sensor(interval_s=2.0, step_c=1.0)),
        1283.0,
        "House espresso v3",
    ),
    Fixture(
        "house-long-development.csv",
        "House espresso, batch 21",
        "Quarry Road natural and Fenmoor washed",
        "dropped forty seconds late: a good roast spoiled at the end",
        _house(22, development_s=150.0),
        1249.0,
        "House espresso v3",
    ),
    Fixture(
        "house-probe-stuck.csv",
        "House espresso, batch 22",
        "Quarry Road natural and Fenmoor washed",
        "the bean probe repeats one value for seventy seconds; the roast itself is good",
        _house(23, sensor=Sensor(stuck_from_s=400.0, stuck_to_s=470.0)),
        1281.0,
        "House espresso v3",
    ),
    Fixture(
        "house-probe-open.csv",
        "House espresso, batch 23",
        "Quarry Road natural and Fenmoor washed",
        "the bean probe's plug works loose: the adapter reads 0 for twenty seconds",
        _house(24, sensor=Sensor(open_from_s=430.0, open_to_s=450.0)),
        1282.0,
        "House espresso v3",
    ),
    Fixture(
        "house-probes-swapped.csv",
        "House espresso, batch 24",
        "Quarry Road natural and Fenmoor washed",
        "bean and air probe are plugged in the wrong way round; the roast itself is good",
        _house(25, sensor=Sensor(swapped=True)),
        1280.0,
        "House espresso v3",
    ),
    Fixture(
        "house-fahrenheit.csv",
        "House espresso, batch 25",
        "Quarry Road natural and Fenmoor washed",
        "the adapter sends °F and nobody has said so; the roast itself is good",
        _house(26, sensor=Sensor(step_c=0.5, noise_sd_c=0.2, fahrenheit=True)),
        1283.0,
        "House espresso v3",
    ),
)


def make(fixture: Fixture, path: Path, started_at: datetime) -> None:
    """Run the script, let the fold find charge, turning point and drop, and record it all."""
    path.unlink(missing_ok=True)
    recorder = Recorder(
        path,
        {
            "title": fixture.title,
            "shows": fixture.shows,
            "coffee": fixture.coffee,
            "started_at": started_at.isoformat(),
            "charge_weight_g": f"{fixture.script.beans.weight_kg * 1000:.0f}",
            **({"reference": fixture.reference} if fixture.reference else {}),
        },
    )
    recorder.open()
    batch, session = PracticeBatch(fixture.script), Session()
    remarks = dict(fixture.remarks)
    while not batch.ended:
        for item in batch.step():
            _record(recorder, session, item)
            _remark(recorder, session, remarks, item.time_s)
            if isinstance(item, Mark) and item.mark == MarkName.FIRST_CRACK:
                for moved in fixture.moved:
                    _record(recorder, session, replace(moved, time_s=item.time_s + moved.time_s))
    recorder.note_fact("roasted_weight_g", f"{fixture.roasted_weight_g:.0f}", batch.next_s)
    recorder.close()


def _record(recorder: Recorder, session: Session, item: Item) -> None:
    if isinstance(item, Reading | Mark):
        recorder.append(item)
    for event in session.feed(item):
        if isinstance(event, Marked) and event.source is MarkSource.AUTO:
            recorder.append(Mark(event.moment_s, event.mark, note="auto"))


def _remark(recorder: Recorder, session: Session, remarks: dict[float, str], time_s: float) -> None:
    charge_s = session.marks.time_s(MarkName.CHARGE)
    for at_s in [at for at in remarks if charge_s is not None and time_s - charge_s >= at]:
        recorder.append(Mark(time_s, MarkName.COMMENT, note=remarks.pop(at_s)))


def main(target: Path = FIXTURES, demo_reference: Path = DEMO_REFERENCE) -> None:
    """Make every fixture, and the list of them, in `target`."""
    target.mkdir(exist_ok=True)
    lines = [
        "# Fixtures",
        "",
        "Roast files of an invented shop, made by `python scripts/make_fixtures.py` from the",
        "practice roaster. Each line says what the file shows.",
        "",
    ]
    for day, fixture in enumerate(FIXTURE_LIST):
        make(fixture, target / fixture.name, _FIRST_DAY + timedelta(days=day, minutes=7 * day))
        lines.append(f"- `{fixture.name}`: {fixture.shows}.")
    demo_reference.write_bytes((target / demo_reference.name).read_bytes())
    (target / "README.md").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
