"""What `roastside sounds --save` writes, measured and held against the published practice.

Check values: IEC 60601-1-8:2006 with amendments, tables 3 and 4. Seen in two sources that quote
them: fundamental 150-1000 Hz, at least four harmonics within 300-4000 Hz, within 15 dB of the
fundamental, rise time 10-20 % of the pulse, rise and fall fit in the gap, pulses and gaps are
measured between 90 % points, medium and low gaps 125-250 ms. From memory: the numbers of pulses,
high pulses 75-200 ms, gaps 50-125 ms, pause between the halves 0.35-1.30 s, medium and low pulses
125-250 ms.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from roastside.core.events import Priority
from roastside.sound.motifs import ATTEND_SOON, MOTIFS, Kind, Motif
from roastside.sound.samples import SOUNDS
from roastside.sound.show import save_sounds
from roastside.sound.tone import tone_at
from tests.sound.wav_reading import Wav

GRAVE = (Priority.HIGH, Priority.CRITICAL)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sounds") / "new"
    assert save_sounds(folder, only="", volume=1.0) == 0
    return folder


def saved(folder: Path, motif: Motif) -> Wav:
    return Wav.read(folder / f"{motif.name}.wav")


def pitches_hz(wav: Wav) -> list[float]:
    return [wav.partials(pulse.start_s, pulse.end_s)[0][0] for pulse in wav.pulses()]


every_motif = pytest.mark.parametrize("motif", MOTIFS, ids=lambda motif: motif.name)


def test_there_is_a_file_for_each_sound(folder: Path) -> None:
    assert {path.name for path in folder.iterdir()} == {f"{each.name}.wav" for each in SOUNDS}


@every_motif
def test_pulses_and_gaps_are_those_of_the_standard(folder: Path, motif: Motif) -> None:
    wav = saved(folder, motif)
    counts = {Priority.LOW: 2, Priority.MEDIUM: 3, Priority.HIGH: 5, Priority.CRITICAL: 10}
    pulses, gaps_s = wav.pulses(), wav.gaps_s()
    assert len(pulses) == counts[motif.priority]
    if motif.priority not in GRAVE:
        assert all(0.125 <= pulse.length_s <= 0.250 for pulse in pulses)
        assert all(0.125 <= gap_s <= 0.250 for gap_s in gaps_s)
        return
    assert all(0.075 <= pulse.length_s <= 0.200 for pulse in pulses)
    within = [gap_s for n, gap_s in enumerate(gaps_s) if n not in (2, 4, 7)]
    assert all(0.050 <= gap_s <= 0.125 for gap_s in within)
    # Between three and two as long as a pulse left out, with the gaps to both its sides.
    for gap_s in gaps_s[2::5]:
        assert gap_s == pytest.approx(2.0 * within[0] + pulses[0].length_s, abs=0.005)
    assert all(0.35 <= gap_s <= 1.30 for gap_s in gaps_s[4:5])


@every_motif
def test_pulses_rise_and_fall_as_the_standard_asks(folder: Path, motif: Motif) -> None:
    wav = saved(folder, motif)
    shortest_gap_s = min(wav.gaps_s())
    for pulse in wav.pulses():
        assert 0.10 <= pulse.rise_s / pulse.length_s <= 0.20
        assert pulse.rise_s + pulse.fall_s < shortest_gap_s


@every_motif
def test_harmonics_are_those_of_the_standard(folder: Path, motif: Motif) -> None:
    wav = saved(folder, motif)
    for pulse in wav.pulses():
        (fundamental_hz, fundamental), *harmonics = wav.partials(pulse.start_s, pulse.end_s)
        assert 150.0 <= fundamental_hz <= 1000.0
        strong = [
            hz
            for hz, amplitude in harmonics
            if 300.0 <= hz <= 4000.0 and abs(20.0 * np.log10(amplitude / fundamental)) <= 15.0
        ]
        assert len(strong) >= 4
        for n, hz in enumerate(strong, start=2):
            assert hz == pytest.approx(n * fundamental_hz, rel=0.005)


@every_motif
def test_pitches_are_those_of_the_melody(folder: Path, motif: Motif) -> None:
    assert pitches_hz(saved(folder, motif)) == pytest.approx(motif.pitches_hz, rel=0.005)


@every_motif
def test_a_sound_begins_and_ends_in_silence_and_is_nowhere_cut_off(
    folder: Path, motif: Motif
) -> None:
    wav = saved(folder, motif)
    assert np.abs(wav.samples[[0, -1]]).max() < 0.001
    assert wav.peak == pytest.approx(motif.level, abs=0.001)


@pytest.mark.parametrize("priority", [Priority.LOW, Priority.MEDIUM])
def test_behind_falls_and_ahead_rises_from_the_same_note(folder: Path, priority: Priority) -> None:
    behind = pitches_hz(saved(folder, Motif(Kind.BEHIND, priority)))
    ahead = pitches_hz(saved(folder, Motif(Kind.AHEAD, priority)))
    assert behind == sorted(behind, reverse=True)
    assert ahead == sorted(ahead)
    assert behind[0] == pytest.approx(ahead[0], rel=0.005)
    assert behind[-1] < 0.85 * behind[0]
    assert ahead[-1] > 1.15 * ahead[0]


@pytest.mark.parametrize("priority", [Priority.MEDIUM, Priority.HIGH])
def test_the_call_to_come_and_drop_rises(folder: Path, priority: Priority) -> None:
    first, second, third = pitches_hz(saved(folder, Motif(Kind.MILESTONE, priority)))[:3]
    assert second == pytest.approx(first, rel=0.005)
    assert third > 1.4 * first


def test_come_now_is_brighter_than_attend_soon(folder: Path) -> None:
    def brightness(motif: Motif) -> float:
        wav = saved(folder, motif)
        pulse = wav.pulses()[0]
        partials = wav.partials(pulse.start_s, pulse.end_s)
        mean_hz = np.average([hz for hz, _ in partials], weights=[level for _, level in partials])
        return float(mean_hz / partials[0][0])

    soon = [brightness(motif) for motif in MOTIFS if motif.timbre is ATTEND_SOON]
    now = [brightness(motif) for motif in MOTIFS if motif.timbre is not ATTEND_SOON]
    assert min(now) > 1.1 * max(soon)


def test_graver_is_louder() -> None:
    levels = [Motif(Kind.PROBE, priority).level for priority in Priority]
    assert levels == sorted(set(levels))


def test_the_volume_is_the_peak(tmp_path: Path) -> None:
    for volume in (0.5, 0.0):
        save_sounds(tmp_path, "safety-critical", volume)
        assert Wav.read(tmp_path / "safety-critical.wav").peak == pytest.approx(volume, abs=0.001)


@pytest.mark.parametrize(("name", "off"), [("tone-behind", -2.0), ("tone-ahead", 2.0)])
def test_the_tone_comes_stays_at_its_pitch_and_goes(folder: Path, name: str, off: float) -> None:
    wav = Wav.read(folder / f"{name}.wav")
    tone = tone_at(off)
    assert wav.partials(1.0, 2.0)[0][0] == pytest.approx(tone.pitch_hz, rel=0.005)
    assert np.abs(wav.samples[[0, -1]]).max() < 0.001
    middle = wav.samples[wav.rate_hz : 2 * wav.rate_hz]
    assert 0.5 * tone.level < np.abs(middle).max() <= tone.level
