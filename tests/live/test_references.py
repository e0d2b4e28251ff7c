"""References made out of recordings, and kept."""

from __future__ import annotations

from pathlib import Path
from statistics import fmean

import numpy as np
import pytest

from roastside.core.change import edited
from roastside.core.errors import StoreError, UsageError
from roastside.core.repeats import disagreeing
from roastside.core.session import Session
from roastside.live.opening import load_reference
from roastside.live.references import from_repeats, from_roast, references, save_reference
from roastside.record.lineage import Lineage
from roastside.record.reader import RoastFile, read_roast_file

FIXTURES = Path(__file__).parents[2] / "fixtures"
GOOD = ("house-espresso-v3", "house-good-repeat-1", "house-good-repeat-2", "house-spikes")


def fixture(name: str) -> RoastFile:
    return read_roast_file(FIXTURES / f"{name}.csv")


@pytest.fixture
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    return tmp_path


def test_a_roast_becomes_a_reference_with_its_cues() -> None:
    reference = from_roast(fixture("house-espresso-v3"), "House espresso v4")
    assert reference.title == "House espresso v4"
    assert [cue.words for cue in reference.cues] == [
        "heat to 78 %",
        "heat to 76 %, air to 35 %",
        "heat to 66 %, air to 45 %",
    ]
    smoothed = load_reference(FIXTURES / "house-espresso-v3.csv")
    assert np.abs(np.array(reference.bean_c) - smoothed.bean_c)[100:].max() < 0.2


def test_marks_that_nobody_made_are_found(tmp_path: Path) -> None:
    text = (FIXTURES / "house-good-repeat-1.csv").read_text(encoding="utf-8")
    made = ("charge", "turning_point", "yellowing", "drop")
    bare = [line for line in text.splitlines() if not any(f",{mark}," in line for mark in made)]
    path = tmp_path / "bare.csv"
    path.write_text("\n".join(bare) + "\n", encoding="utf-8")
    found, marked = from_roast(read_roast_file(path)), from_roast(fixture("house-good-repeat-1"))
    assert set(made) <= set(found.marks)
    for mark in made:
        assert found.marks[mark] == pytest.approx(marked.marks[mark], abs=3.0)


@pytest.mark.parametrize(
    ("name", "says"), [("house-fahrenheit", "in °F"), ("house-probes-swapped", "wrong way round")]
)
def test_a_roast_read_wrongly_is_refused(name: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        from_roast(fixture(name))


def test_a_roast_without_an_end_is_refused(tmp_path: Path) -> None:
    lines = (FIXTURES / "house-good-repeat-1.csv").read_text(encoding="utf-8").splitlines()
    path = tmp_path / "cut.csv"
    path.write_text("\n".join(lines[:1300]) + "\n", encoding="utf-8")
    with pytest.raises(UsageError, match="has no drop"):
        from_roast(read_roast_file(path))


def test_good_repeats_become_their_mean_with_a_corridor() -> None:
    roasts = [fixture(name) for name in GOOD]
    mean = from_repeats(roasts, "House espresso v4")
    each = [from_roast(file) for file in roasts]
    assert disagreeing(each) == []
    assert mean.marks["drop"] == pytest.approx(fmean(r.marks["drop"] for r in each), abs=0.5)
    assert mean.corridor_c is not None
    assert 1.0 <= min(mean.corridor_c) <= max(mean.corridor_c) < 2.0
    assert len(mean.cues) == 3


def test_a_version_is_saved_loaded_as_it_is_and_edited_again(at_home: Path) -> None:
    third = from_roast(fixture("house-espresso-v3"), "House espresso v3")
    change = edited(third, "browning 20 s longer", title="House espresso v4")
    lineage = Lineage("House espresso", 4, origin="edit", parent=third.title, change=change.asked)
    path = save_reference(change.after, lineage)
    assert path == at_home / "references" / "House espresso v4.csv"
    found = load_reference(path)
    assert found.title == "House espresso v4"
    assert np.abs(np.array(found.bean_c) - change.after.bean_c).max() <= 0.000501
    assert found.marks == change.after.marks
    again = from_roast(read_roast_file(path), "House espresso v5")
    assert (again.title, again.bean_c, again.cues) == (
        "House espresso v5",
        found.bean_c,
        found.cues,
    )
    with pytest.raises(StoreError, match="is there already"):
        save_reference(change.after, lineage)


def test_a_version_still_tells_where_the_readings_of_its_roast_were_missing(at_home: Path) -> None:
    lines = (FIXTURES / "house-good-repeat-1.csv").read_text(encoding="utf-8").splitlines()
    charge_s = read_roast_file(FIXTURES / "house-good-repeat-1.csv").marks()["charge"]

    def missing(line: str) -> bool:
        at, _, rest = line.partition(",")
        found = at.replace(".", "", 1).isdigit() and not rest.startswith(",,")
        return found and 200.0 < float(at) - charge_s < 450.0

    path = at_home / "gappy.csv"
    path.write_text("\n".join(line for line in lines if not missing(line)) + "\n", "utf-8")
    gappy = from_roast(read_roast_file(path), "House espresso v4")
    ((begin_s, end_s),) = gappy.guesses
    assert 200.0 < begin_s < 310.0 < 350.0 < end_s < 450.0
    stored = load_reference(save_reference(gappy, Lineage("House espresso", 4, origin="roast")))
    assert stored.guesses == gappy.guesses and stored.allowing_for_doubt(2.0) is not stored
    whole = from_repeats([fixture(name) for name in GOOD[:2]], "House espresso v4")
    assert whole.doubt_c is None and whole.guesses == []


def test_a_roast_held_against_a_stored_reference_sees_its_curve(at_home: Path) -> None:
    third = from_roast(fixture("house-espresso-v3"), "House espresso v3")
    path = save_reference(third, Lineage("House espresso", 3, origin="roast"))
    session = Session(reference=load_reference(path))
    for item in fixture("house-good-repeat-1").items():
        session.feed(item)
    worst_c = session.finish().max_deviation_c
    assert worst_c is not None
    assert 0.0 < worst_c < 2.0


def test_a_stored_reference_can_itself_be_replayed(at_home: Path) -> None:
    third = from_roast(fixture("house-espresso-v3"), "House espresso v3")
    path = save_reference(third, Lineage("House espresso", 3, origin="roast"))
    session = Session()
    for item in read_roast_file(path).items():
        session.feed(item)
    summary = session.finish()
    assert summary.marks["drop"] == pytest.approx(third.marks["drop"])
    assert summary.readings == len(third.bean_c)
    assert summary.missing == 0


def test_a_folder_that_cannot_be_made_is_said(at_home: Path) -> None:
    (at_home / "references").write_text("in the way", encoding="utf-8")
    with pytest.raises(StoreError, match="cannot make the folder"):
        references()
