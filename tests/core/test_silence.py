"""The roast's clock: looks at silence on a grid, and tells gaps from a slow adapter's spacing."""

from __future__ import annotations

from collections.abc import Iterable

from roastside.core.silence import Break, Silence


def listening(times_s: Iterable[float], usual_s: float | None = None) -> Silence:
    """A clock after believed readings at these times."""
    silence = Silence()
    for time_s in times_s:
        list(silence.pass_to(time_s))
        silence.take(time_s, usual_s)
        silence.believe(time_s)
    return silence


def test_silence_is_looked_at_every_second_after_the_last_believed_reading() -> None:
    silence = listening([10.0, 10.4])
    assert list(silence.pass_to(13.0)) == [11.4, 12.4]
    assert list(silence.pass_to(13.6)) == [13.4]
    assert (silence.now_s, silence.silent_s) == (13.6, 3.2)


def test_the_clock_stands_at_each_look_and_never_runs_back() -> None:
    silence = listening([0.0])
    assert [silence.silent_s for _ in silence.pass_to(2.5)] == [1.0, 2.0]
    assert list(silence.pass_to(1.0)) == []
    silence.reach(2.0)
    assert silence.now_s == 2.5


def test_an_hour_of_silence_is_looked_at_for_a_quarter_of_it() -> None:
    silence = listening([0.0])
    assert list(silence.pass_to(3600.0))[-1] == 900.0
    assert list(silence.pass_to(7200.0)) == []
    assert silence.silent_s == 7200.0


def test_before_the_first_reading_silence_counts_from_when_we_began_to_listen() -> None:
    silence = Silence()
    assert list(silence.pass_to(100.0)) == []
    assert len(list(silence.pass_to(104.5))) == 4
    assert silence.silent_s == 4.5
    silence.begin(3.0)
    assert (silence.now_s, silence.silent_s) == (3.0, 0.0)


def test_a_reading_that_was_not_believed_ends_no_silence() -> None:
    silence = listening([0.0, 1.0])
    list(silence.pass_to(5.0))
    assert silence.take(5.0, None) == Break(1.0, "no readings came")
    assert silence.silent_s == 4.0


def test_a_slow_adapter_leaves_no_gaps_once_its_spacing_is_known() -> None:
    assert listening([0.0]).take(3.5, None) == Break(0.0, "no readings came")
    assert listening([0.0]).take(3.5, 2.0) is None
    spaced = listening([1.9 * n for n in range(40)])
    last_s = spaced.last_reading_s
    assert last_s is not None
    assert spaced.take(last_s + 5.0, None) is None


def test_a_source_that_says_why_leaves_a_gap_however_short() -> None:
    silence = listening([0.0, 1.0])
    silence.lost("unplugged")
    silence.lost("still unplugged")
    assert silence.take(1.5, None) == Break(1.0, "unplugged")
    assert silence.take(2.0, None) is None


def test_too_much_silence_is_counted_in_the_adapters_own_spacing() -> None:
    silence = listening([0.0, 1.0])
    assert silence.silent_after_s(3.0, None) == 3.5
    assert silence.silent_after_s(6.0, None) == 6.0
    assert silence.silent_after_s(3.0, 4.0) == 14.0
