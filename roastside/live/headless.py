"""A roast without a terminal: events to stdout, words for people to stderr, an exit code."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from types import FrameType

from roastside.core.errors import StoreError, UsageError
from roastside.core.events import Event
from roastside.core.session import Session
from roastside.live.pipeline import Pipeline
from roastside.live.stream import EventWriter
from roastside.live.under_way import Note, beans_inside
from roastside.live.watch import Watch
from roastside.probes.source import Source
from roastside.record.recorder import Recorder


def run_headless(
    source: Source,
    session: Session,
    recorder: Recorder | None = None,
    note: Note | None = None,
) -> int:
    """Open the source, stream events until it ends or a signal comes; the exit code.

    `note`: notes the recording as under way. The note stays if the end comes with beans in the
    roaster, so that the next start offers to go on with them.

    Ctrl-C and SIGTERM end the roast cleanly: recording closed, summary written, exit code 0.
    When nobody takes the events any more a roast that is recorded goes on, any other ends.

    Raises ProbeError, RecordError or StoreError if it cannot begin or be stored, UsageError if
    stdout is closed.
    """
    if sys.stdout is None:
        raise UsageError("there is no standard output to write events to; leave it open")
    writer = EventWriter(sys.stdout.fileno())
    watch = Watch(source, sys.stderr)
    pipeline = Pipeline(source, session, [writer, watch], recorder)

    def look_for_reader(_events: Sequence[Event]) -> None:
        if writer.error is None:
            return
        if recorder is None:
            pipeline.stop()
        else:
            watch.tell_once("nobody takes the events any more; the recording goes on")

    pipeline.consumers.append(look_for_reader)
    with _ended_by_signals(pipeline):
        try:
            _open(source, recorder)
            forget = note(recorder.path) if note and recorder else None
            pipeline.run()
            if forget is not None and not beans_inside(session.marks):
                forget()
        finally:
            writer.close(hurried=lambda: pipeline.stopping)
    if pipeline.store_error is not None:
        raise pipeline.store_error
    if writer.error is not None and not isinstance(writer.error, BrokenPipeError):
        reason = writer.error.strerror or writer.error
        raise StoreError(f"the events could not be written ({reason}); send them elsewhere")
    if writer.error is None:
        watch.sum_up()
    return 0


def _open(source: Source, recorder: Recorder | None) -> None:
    source.open()
    try:
        if recorder is not None:
            recorder.open()
    except BaseException:
        source.close()
        raise


@contextmanager
def _ended_by_signals(pipeline: Pipeline) -> Iterator[None]:
    def stop(_signal: int, _frame: FrameType | None) -> None:
        pipeline.stop()

    before = {name: signal.signal(name, stop) for name in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)
