"""The voice speaks in its turn, breaks off for what is urgent, and never holds anyone up."""

from __future__ import annotations

import shutil
import sys
import wave
from array import array
from pathlib import Path

import pytest

from roastside.sound.speakers import LONGEST, Manner, Speaker, find_speaker
from roastside.sound.speech import NO_VOICE, Voice
from roastside.sound.spoken import Status, status_sentence, whole

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, HANG, PATIENCE_S, StandIn, waits_for

NOT_SPOKEN = "alerts still sound and show; check the sound device and the speech settings"

needs_espeak = pytest.mark.skipif(
    shutil.which("espeak-ng") is None, reason="espeak-ng is not installed on this machine"
)


def voice_of(stand_in: StandIn, told: list[str], limit_s: float = PATIENCE_S) -> Voice:
    return Voice(Speaker("espeak-ng", str(stand_in.path)), told.append, limit_s)


def said(stand_in: StandIn) -> list[str]:
    return [run.stdin for run in stand_in.runs]


def test_sentences_are_said_in_their_order(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng"), list[str]()
    voice = voice_of(speaker, told)
    for message in ("12 seconds behind", "first crack in 30 s"):
        voice.say(message)
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["twelve seconds behind", "first crack in thirty seconds"]
    assert told == []
    assert voice.stop(PATIENCE_S)


def test_what_is_urgent_breaks_off_and_drops_the_rest(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng", HANG), list[str]()
    voice = voice_of(speaker, told)
    voice.say("a long story")
    speaker.wait_for_runs(1)
    voice.say("and more of it")
    voice.say("bean probe at two hundred forty-one degrees", urgent=True)
    speaker.wait_for_runs(2)
    voice.say("chatter", urgent=False)
    assert voice.stop(PATIENCE_S)
    assert said(speaker) == ["a long story", "bean probe at two hundred forty-one degrees"]
    assert told == []


def test_what_is_urgent_lets_another_urgent_finish(tmp_path: Path) -> None:
    gate = tmp_path / "gate"
    speaker = StandIn(tmp_path, "espeak-ng", f"{waits_for(gate)}\nPath({str(gate)!r}).unlink()")
    told = list[str]()
    voice = voice_of(speaker, told)
    voice.say("fire", urgent=True)
    speaker.wait_for_runs(1)
    voice.say("probe lost", urgent=True)
    gate.touch()
    speaker.wait_for_runs(2)
    assert not gate.exists(), "the first was not let finish"
    gate.touch()
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["fire", "probe lost"]


def test_ten_thousand_sentences_leave_a_few_of_the_newest(tmp_path: Path) -> None:
    gate = tmp_path / "gate"
    speaker, told = StandIn(tmp_path, "espeak-ng", waits_for(gate)), list[str]()
    voice = voice_of(speaker, told)
    voice.say("first")
    speaker.wait_for_runs(1)
    for count in range(10_000):
        voice.say(f"sentence {count}")
    gate.touch()
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["first", *(f"sentence {whole(count)}" for count in (9997, 9998, 9999))]


def test_a_speaker_that_hangs_is_ended_told_once_and_asked_again(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng", HANG), list[str]()
    voice = voice_of(speaker, told, limit_s=3.0)
    voice.say("one")
    voice.say("two")
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["one", "two"]
    assert told == [f"not spoken: espeak-ng did not come to an end and was ended; {NOT_SPOKEN}"]


def test_a_speaker_that_fails_is_told_once(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng", FAIL), list[str]()
    voice = voice_of(speaker, told)
    voice.say("one")
    voice.say("two")
    assert voice.wait(PATIENCE_S)
    assert told == [f"not spoken: espeak-ng failed (exit code 1): no such voice; {NOT_SPOKEN}"]


def test_a_speaker_that_vanishes_is_told_and_comes_back(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng"), list[str]()
    voice = voice_of(speaker, told)
    away = speaker.path.rename(tmp_path / "away")
    voice.say("unheard")
    assert voice.wait(PATIENCE_S)
    assert told == [
        f"not spoken: espeak-ng cannot be started: No such file or directory; {NOT_SPOKEN}"
    ]
    away.rename(speaker.path)
    voice.say("heard")
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["heard"]


def test_a_missing_sound_device_is_told_before_the_first_alert(tmp_path: Path) -> None:
    # What espeak-ng 1.51 says, and that it calls itself done all the same, was seen on a
    # machine without a sound card.
    silent = "sys.stderr.write('ALSA lib: Unknown PCM default\\nerror: No such file or directory')"
    speaker, told = StandIn(tmp_path, "espeak-ng", silent), list[str]()
    voice = voice_of(speaker, told)
    voice.check()
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == [""]
    assert told == [f"not spoken: espeak-ng failed: No such file or directory; {NOT_SPOKEN}"]


def test_hush_breaks_off_even_what_is_urgent(tmp_path: Path) -> None:
    speaker, told = StandIn(tmp_path, "espeak-ng", HANG), list[str]()
    voice = voice_of(speaker, told)
    voice.say("fire", urgent=True)
    speaker.wait_for_runs(1)
    voice.say("more fire", urgent=True)
    voice.hush()
    assert voice.wait(PATIENCE_S)
    assert said(speaker) == ["fire"]
    assert told == []


def test_without_a_speaker_one_warning_comes_at_once_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    told: list[str] = []
    voice = Voice(find_speaker(), told.append)
    assert told == [NO_VOICE]
    voice.check()
    voice.say("unheard", urgent=True)
    voice.hush()
    assert voice.wait(PATIENCE_S) and voice.stop(PATIENCE_S)
    assert told == [NO_VOICE]


@pytest.mark.parametrize(
    ("platform", "there", "best"),
    [
        ("linux", ("spd-say", "espeak-ng", "espeak", "say"), "espeak-ng"),
        ("linux", ("spd-say", "say"), "spd-say"),
        ("linux", ("say", "powershell"), None),
        ("freebsd14", ("espeak-ng",), "espeak-ng"),
        ("darwin", ("say", "espeak-ng"), "say"),
        ("win32", ("powershell", "espeak-ng"), "powershell"),
    ],
)
def test_each_platform_has_its_own_speakers(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    platform: str,
    there: tuple[str, ...],
    best: str | None,
) -> None:
    for name in there:
        StandIn(tmp_path, name)
    monkeypatch.setenv("PATH", str(tmp_path))
    found = find_speaker(platform=platform)
    assert (found and found.name) == best


NASTY = '--version; rm -rf "$HOME" `x` $(x) [[fut]] <b>\x1b[31m\x00\n%PATH%'
TAME = 'version; rm -rf "$HOME" x $(x) fut b %PATH%'


@pytest.mark.parametrize("name", ["espeak-ng", "espeak", "spd-say", "say", "powershell"])
def test_no_speaker_takes_a_text_for_an_option_a_script_or_markup(
    tmp_path: Path, name: str
) -> None:
    stand_in = StandIn(tmp_path, name)
    Speaker(name, str(stand_in.path)).program(NASTY, False, PATIENCE_S).run()
    [run] = stand_in.runs
    if name == "spd-say":
        assert run.arguments[-2:] == ["--", TAME]
    elif name == "powershell":
        assert run.environment["ROASTSIDE_SAY"] == TAME
    else:
        assert run.stdin == TAME
    quoted = [each for each in run.arguments if "rm -rf" in each]
    assert quoted == ([TAME] if name == "spd-say" else [])


def given(name: str, manner: Manner, urgent: bool = False) -> list[str]:
    program = Speaker(name, "x", manner).program("drop", urgent, PATIENCE_S)
    return list(program.arguments[1:])


def test_pace_voice_and_volume_reach_each_speaker() -> None:
    manner = Manner(voice="Ada", pace=3.0, volume=0.5)
    espeak = "--stdin -b 1 -v Ada -s 525 -a 50"
    assert given("espeak-ng", manner) == espeak.split()
    assert given("say", manner) == ["-v", "Ada", "-r", "525", "-f", "-"]
    spd_say = given("spd-say", manner)
    for option, value in (("--synthesis-voice", "Ada"), ("--rate", "100"), ("--volume", "-50")):
        assert spd_say[spd_say.index(option) + 1] == value


def test_only_an_urgent_text_interrupts_the_speech_daemon() -> None:
    for urgent, priority in ((False, "text"), (True, "important")):
        arguments = given("spd-say", Manner(), urgent)
        assert arguments[arguments.index("--priority") + 1] == priority


def test_a_sentence_without_end_is_cut(tmp_path: Path) -> None:
    speaker = StandIn(tmp_path, "espeak-ng")
    voice = voice_of(speaker, [])
    voice.say("bean " * 1000)
    assert voice.wait(PATIENCE_S)
    assert len(speaker.runs[0].stdin) == LONGEST


@needs_espeak
def test_real_espeak_speaks_the_status_into_a_file(tmp_path: Path) -> None:
    def seconds_spoken(sentence: str) -> float:
        file = tmp_path / "spoken.wav"
        speaker = find_speaker(Manner(extra=("-w", str(file))), platform="linux")
        assert speaker is not None and speaker.name == "espeak-ng"
        told: list[str] = []
        voice = Voice(speaker, told.append)
        voice.say(sentence)
        assert voice.wait(PATIENCE_S) and voice.stop(PATIENCE_S)
        assert told == []
        with wave.open(str(file)) as sound:
            samples = array("h", sound.readframes(sound.getnframes()))
            loud = [at for at, sample in enumerate(samples) if abs(sample) > 1000]
            return (loud[-1] - loud[0]) / sound.getframerate()

    status = Status(370.0, 182.0, 8.4, -12.0, milestone="first_crack", in_s=40.0)
    short, whole = seconds_spoken("twelve seconds behind"), seconds_spoken(status_sentence(status))
    # At its usual 175 words a minute: 3 words take about a second, the 19 of the status six.
    assert 0.5 < short < 2.0
    assert 4.0 < whole < 10.0
