"""Learning from the recordings kept on this machine, and telling it again with a recording."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from roastside.core.events import Event, Forecast, as_record
from roastside.core.past import NOTHING_LEARNED, Habits
from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from roastside.live.beginnings import listened_roast, practice_roast, replayed_roast
from roastside.live.line import Line
from roastside.live.opening import load_reference, new_recorder
from roastside.live.past import HABITS, habits_of, recorded_habits
from roastside.live.pipeline import Pipeline
from roastside.probes.virtual_line import virtual_line
from roastside.record.format import head_text, recording_columns, row_text
from roastside.record.reader import read_roast_file
from tests.core.roasts import Probe, Truth, readings, reference_of, told
from tests.live.running import FIXTURES, HOUSE, Running, named, posix_only, run
from tests.live.sources import LineSource

TRUTH = Truth()
CRACK_S = TRUTH.reaches_s(196.0)
REFERENCE = reference_of(TRUTH, Probe(seed=50), first_crack=CRACK_S)
"""Its title is `house`; beans crack at 196 °C, to within what smoothing leaves of the noise."""

COLUMNS = recording_columns()


def at(elapsed_s: float, mark: str) -> Mark:
    return Mark(round(TRUTH.charge_s + elapsed_s, 3), mark)


def roast(crack_c: float, probe: Probe | None = None) -> list[Reading | Mark]:
    """A roast that cracked at this bean temperature, and was dropped 80 s later."""
    crack_s = TRUTH.reaches_s(crack_c)
    marks = [at(0.0, "charge"), at(crack_s, "first_crack"), at(crack_s + 80.0, "drop")]
    return [*readings(TRUTH, probe), *marks]


def keep(
    folder: Path, name: str, items: Iterable[Reading | Mark], reference: str = "house", age: int = 0
) -> Path:
    """A recording as the recorder leaves it, `age` days old."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.csv"
    rows = "".join(row_text(item, COLUMNS) for item in items)
    path.write_text(head_text({"title": name, "reference": reference}, COLUMNS) + rows, "utf-8")
    os.utime(path, (1e9 - age * 86_400, 1e9 - age * 86_400))
    return path


def without_crack() -> Reference:
    """The same reference with no first crack marked, so that a past roast speaks alone."""
    return replace(REFERENCE, marks={"charge": 0.0, "drop": TRUTH.drop_s})


@pytest.mark.parametrize(
    ("probe", "within_c"),
    [
        (Probe(noise_sd_c=0.25), 0.2),
        (Probe(noise_sd_c=0.25, spike_share=0.15, seed=2), 0.3),
        (Probe(interval_s=0.1, noise_sd_c=0.25), 0.1),
        (Probe(interval_s=3.0, noise_sd_c=0.1), 0.3),
        (Probe(step_c=1.0), 0.4),
    ],
    ids=["as usual", "spikes", "ten a second", "one in three seconds", "whole degrees"],
)
def test_first_crack_was_where_the_beans_were_at_its_mark(
    probe: Probe, within_c: float, tmp_path: Path
) -> None:
    keep(tmp_path, "one", roast(194.5, probe))
    found = habits_of(without_crack(), tmp_path)
    assert found.first_crack_c == pytest.approx(194.5, abs=within_c)
    assert found.roasts == 1


def test_a_mark_counts_as_it_stands_in_the_end(tmp_path: Path) -> None:
    moved = [*roast(198.0), at(TRUTH.reaches_s(194.5), "first_crack")]
    keep(tmp_path, "moved", moved)
    assert habits_of(without_crack(), tmp_path).first_crack_c == pytest.approx(194.5, abs=0.2)
    keep(tmp_path, "moved", [*moved, at(600.0, "undo first_crack")])
    assert habits_of(without_crack(), tmp_path) == NOTHING_LEARNED


def test_the_drops_of_past_roasts_tell_how_steady_the_hand_is(tmp_path: Path) -> None:
    reference = replace(REFERENCE, marks={**REFERENCE.marks, "drop": CRACK_S + 80.0})
    for count in range(6):
        keep(tmp_path, f"{count}", roast(196.0))
    steady_s = habits_of(reference, tmp_path).drop_sd_s
    assert steady_s == pytest.approx(NOTHING_LEARNED.drop_sd_s * (4 / 10) ** 0.5, abs=0.01)
    for count in range(6):
        items = [*roast(196.0), at(CRACK_S + 80.0 + 8.0 * (-1) ** count, "drop")]
        keep(tmp_path, f"{count}", items)
    # Four times what is assumed, and six times 8², over 4 + 6.
    variance = (4 * NOTHING_LEARNED.drop_sd_s**2 + 6 * 8.0**2) / 10
    assert habits_of(reference, tmp_path).drop_sd_s == pytest.approx(variance**0.5, abs=0.01)


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:40])


def spoil(path: Path) -> None:
    path.write_bytes(b"\x00\xff" + path.read_bytes())


def replace_by_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def grow_large(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"700.0,180.0,,,,\n" * 70_000)


def name_otherwise(path: Path) -> None:
    path.rename(path.with_suffix(".txt"))


def put_marks_first(path: Path) -> None:
    path.write_text(path.read_text("utf-8").replace("time_s,bean_c", "bean_c,time_s"), "utf-8")


@pytest.mark.parametrize(
    "spoiled",
    [cut_short, spoil, replace_by_folder, grow_large, name_otherwise, put_marks_first],
)
def test_what_is_no_recording_is_passed_over(
    spoiled: Callable[[Path], object], tmp_path: Path
) -> None:
    keep(tmp_path, "good", roast(194.5), age=1)
    alone = habits_of(REFERENCE, tmp_path)
    other = keep(tmp_path, "other", roast(198.0))
    assert habits_of(REFERENCE, tmp_path) != alone
    spoiled(other)
    assert habits_of(REFERENCE, tmp_path) == alone
    assert alone.roasts == 1


def test_a_line_without_end_does_not_hide_the_rest(tmp_path: Path) -> None:
    path = keep(tmp_path, "long", roast(194.5))
    alone = habits_of(REFERENCE, tmp_path)
    with path.open("a", encoding="utf-8") as file:
        file.write('700.0,,,comment,,"' + "a" * 200_000)
    assert habits_of(REFERENCE, tmp_path) == alone
    assert alone.roasts == 1


@posix_only
def test_a_pipe_holds_nobody_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    assert habits_of(REFERENCE, tmp_path) == NOTHING_LEARNED
    assert recorded_habits(tmp_path / "pipe.csv", None) == NOTHING_LEARNED


@pytest.mark.parametrize(
    "items",
    [
        [item for item in roast(196.0) if isinstance(item, Reading)],
        [item for item in roast(196.0) if getattr(item, "mark", "") != "charge"],
        [item for item in roast(196.0) if getattr(item, "mark", "") != "first_crack"],
        [*roast(196.0), at(TRUTH.drop_s, "charge")],
        [
            item
            for item in roast(196.0)
            if isinstance(item, Mark) or not -30.0 < item.time_s - TRUTH.charge_s - CRACK_S < 6.0
        ],
    ],
    ids=["no marks", "no charge", "no first crack", "charge after first crack", "a gap there"],
)
def test_a_roast_that_does_not_tell_is_passed_over(
    items: list[Reading | Mark], tmp_path: Path
) -> None:
    keep(tmp_path, "roast", items)
    assert habits_of(REFERENCE, tmp_path) == NOTHING_LEARNED


def test_only_roasts_of_this_very_reference_tell(tmp_path: Path) -> None:
    keep(tmp_path, "next version", roast(194.5), reference="house v2")
    keep(tmp_path, "without", roast(194.5), reference="")
    assert habits_of(REFERENCE, tmp_path) == NOTHING_LEARNED


def test_no_more_than_the_newest_thirty_tell(tmp_path: Path) -> None:
    for age in range(33):
        keep(tmp_path, f"{age}", roast(195.0, Probe(interval_s=2.0, seed=age)), age=age)
    before = habits_of(REFERENCE, tmp_path)
    assert before.roasts == 30
    keep(tmp_path, "31", roast(198.0, Probe(interval_s=2.0)), age=31)
    assert habits_of(REFERENCE, tmp_path) == before
    keep(tmp_path, "29", roast(198.0, Probe(interval_s=2.0)), age=29)
    assert habits_of(REFERENCE, tmp_path) != before


def test_without_recordings_nothing_is_learned(tmp_path: Path) -> None:
    assert habits_of(REFERENCE, tmp_path) == NOTHING_LEARNED
    assert habits_of(REFERENCE, tmp_path / "not there") == NOTHING_LEARNED


def first_crack_foreseen(habits: Habits, elapsed_s: float) -> Forecast:
    """What is foreseen at this moment of a roast like the reference."""
    events = told(Session(RoastPlan(habits=habits), REFERENCE), readings(TRUTH, Probe(seed=3)))
    found = [e for e in events if isinstance(e, Forecast) and e.milestone == "first_crack"]
    return min(found, key=lambda f: abs((f.elapsed_s or 0.0) - elapsed_s))


def test_learning_moves_the_forecast_and_one_odd_roast_does_not(tmp_path: Path) -> None:
    """Beans that crack earlier, batch after batch, than those of the reference did."""
    for count in range(8):
        keep(tmp_path, f"{count}", roast(194.0 + 0.1 * (count % 3), Probe(seed=count)))
    learned = habits_of(REFERENCE, tmp_path)
    early_s = TRUTH.reaches_s(194.1) - 60.0
    before = first_crack_foreseen(NOTHING_LEARNED, early_s)
    after = first_crack_foreseen(learned, early_s)
    assert before.at_s == pytest.approx(CRACK_S, abs=4.0)
    assert after.at_s == pytest.approx(TRUTH.reaches_s(194.1), abs=4.0)
    assert before.at_s - after.at_s > 10.0
    keep(tmp_path, "odd", roast(150.0))
    assert first_crack_foreseen(habits_of(REFERENCE, tmp_path), early_s) == after


def test_roasts_that_scatter_make_less_sure(tmp_path: Path) -> None:
    for count in range(8):
        keep(tmp_path / "steady", f"{count}", roast(196.0 + 0.1 * (-1) ** count))
        keep(tmp_path / "varied", f"{count}", roast(196.0 + 2.0 * (-1) ** count))
    wide, narrow = (
        first_crack_foreseen(habits_of(REFERENCE, tmp_path / name), CRACK_S - 60.0)
        for name in ("varied", "steady")
    )
    assert wide.high_s - wide.low_s > 1.5 * (narrow.high_s - narrow.low_s)


def keep_house_roasts(home: Path, crack_c: float, count: int = 3) -> None:
    for number in range(count):
        items = roast(crack_c, Probe(seed=number))
        keep(home / "recordings", f"{crack_c} {number}", items, "House espresso v3")


@posix_only
def test_a_replay_foresees_what_was_foreseen_live_whatever_was_roasted_since(
    tmp_path: Path,
) -> None:
    reference = load_reference(HOUSE)
    keep_house_roasts(tmp_path, 195.4)
    plan = RoastPlan(habits=habits_of(reference, tmp_path / "recordings"))
    assert plan.habits.roasts == 3

    items = read_roast_file(FIXTURES / "house-slow-browning.csv").items()
    heard = [item for item in items if isinstance(item, Reading)][::4]
    file = tmp_path / "recordings" / "batch.csv"
    recorder = new_recorder(file, datetime(2026, 3, 2), "batch", reference, habits=plan.habits)
    live: list[Event] = []
    source = LineSource(heard)
    source.open()
    recorder.open()
    Pipeline(source, Session(plan, reference), [live.extend], recorder).run()
    keep_house_roasts(tmp_path, 198.9, count=9)

    def replayed() -> list[dict[str, object]]:
        against = ("--reference", HOUSE, "--speed", "max", "--events")
        return named(run("replay", file, *against, home=tmp_path).events, "forecast")

    lived = named([as_record(event) for event in live], "forecast")
    assert len(lived) > 100
    assert replayed() == lived
    text = file.read_text("utf-8")
    file.write_text(text.replace(f"# {HABITS}:", "# forgotten:"), "utf-8")
    assert replayed() != lived


@posix_only
@pytest.mark.parametrize("learns", [True, False])
def test_listen_writes_what_it_knows_into_its_recording(learns: bool, tmp_path: Path) -> None:
    if learns:
        keep_house_roasts(tmp_path, 195.4)
    file = tmp_path / "batch.csv"
    with virtual_line() as line:
        recorded = ("--reference", HOUSE, "--record", file, "--events")
        with Running("listen", "--port", line.port, *recorded, home=tmp_path) as roast:
            roast.wake(line)
            assert roast.end().code == 0
    known = recorded_habits(file, load_reference(HOUSE))
    assert known == habits_of(load_reference(HOUSE), tmp_path / "recordings")
    assert (HABITS in read_roast_file(file).header, known.roasts) == (learns, 3 * learns)


@posix_only
def test_without_a_reference_a_roast_knows_nothing_of_others(tmp_path: Path) -> None:
    keep_house_roasts(tmp_path, 195.4)
    file = tmp_path / "batch.csv"
    with virtual_line() as line:
        recorded = ("--record", file, "--events")
        with Running("listen", "--port", line.port, *recorded, home=tmp_path) as roast:
            roast.wake(line)
            assert roast.end().code == 0
    assert HABITS not in read_roast_file(file).header


@pytest.fixture
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    return tmp_path


@posix_only
def test_a_roast_begun_in_the_app_learns_and_playing_it_again_knows_the_same(
    at_home: Path,
) -> None:
    keep_house_roasts(at_home, 195.4)
    with virtual_line() as line:
        roast = listened_roast(Line(line.port, 9600, "lines"), str(HOUSE), "")
        roast.end()
    assert roast.plan.habits == habits_of(load_reference(HOUSE), at_home / "recordings")
    assert roast.plan.habits.roasts == 3
    assert roast.recorder is not None
    keep_house_roasts(at_home, 198.9, count=9)
    again = replayed_roast(roast.recorder.path)
    again.end()
    assert again.plan.habits == roast.plan.habits


@posix_only
def test_practice_learns_nothing(at_home: Path) -> None:
    """Though its reference has the title of roasts that are kept here."""
    keep_house_roasts(at_home, 195.4)
    roast = practice_roast()
    roast.end()
    assert roast.reference is not None
    assert habits_of(roast.reference, at_home / "recordings").roasts == 3
    assert roast.plan.habits == NOTHING_LEARNED


def with_head(path: Path, header: dict[str, str]) -> Path:
    path.write_text(head_text(header, COLUMNS), "utf-8")
    return path


def test_habits_are_those_of_one_reference(tmp_path: Path) -> None:
    known = Habits(195.25, 0.75, 2.5, 4)
    file = with_head(tmp_path / "a.csv", {"reference": "house", HABITS: known.in_words()})
    assert recorded_habits(file, REFERENCE) == known
    assert recorded_habits(file, None) == known
    assert recorded_habits(file, replace(REFERENCE, title="house v2")) == NOTHING_LEARNED


def test_a_header_that_makes_no_sense_is_ignored(tmp_path: Path) -> None:
    odd = with_head(tmp_path / "odd.csv", {"reference": "house", HABITS: "early = often; nan"})
    assert recorded_habits(odd, REFERENCE) == NOTHING_LEARNED
    assert recorded_habits(tmp_path / "not there", REFERENCE) == NOTHING_LEARNED
    assert recorded_habits(tmp_path, REFERENCE) == NOTHING_LEARNED
    (tmp_path / "other.csv").write_bytes(b"\x00\xff\n")
    assert recorded_habits(tmp_path / "other.csv", REFERENCE) == NOTHING_LEARNED


def test_a_follower_knows_what_the_listener_knows(tmp_path: Path) -> None:
    house = (FIXTURES / "house-coarse-probe.csv").read_text("utf-8")
    words = f"# {HABITS}: {Habits(195.25, 0.75, 2.5, 4).in_words()}\n"
    file = tmp_path / "growing.csv"
    file.write_text(house.replace("time_s,", f"{words}time_s,", 1), "utf-8")
    against = ("--reference", HOUSE, "--events")
    replayed = run("replay", file, "--speed", "max", *against, home=tmp_path).events
    with Running("follow", file, *against, home=tmp_path) as follower:
        samples = len(named(replayed, "sample"))
        follower.wait_for(lambda: len(named(follower.events, "sample")) == samples, "all")
        followed = follower.end().events
    assert named(followed, "forecast") == named(replayed, "forecast")
    file.write_text(house, "utf-8")
    plain = run("replay", file, "--speed", "max", *against, home=tmp_path).events
    assert named(plain, "forecast") != named(replayed, "forecast")
