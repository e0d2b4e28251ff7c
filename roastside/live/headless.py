"""A roast without a terminal: events to stdout, words for people to stderr, an exit code."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from roastside.core.session import Session
from roastside.live.pipeline import Pipeline
from roastside.live.stream import EventWriter
from roastside.live.watch import Watch
from roastside.probes.source import Source
from roastside.record.recorder import Recorder

BROKEN_PIPE_EXIT = 0


def run_headless(source: Source, session: Session, recorder: Recorder | None = None) -> int:
    """Open the source, stream events until it ends or a signal comes; the exit code.

    Raises ProbeError, RecordError or StoreError if it cannot begin. Ctrl-C and SIGTERM end the
    roast cleanly: recording closed, summary written, exit code 0.
    """
    source.open()
    try:
        if recorder is not None:
            recorder.open()
    except BaseException:
        source.close()
        raise
    watch = Watch(source, sys.stderr)
    pipeline = Pipeline(source, session, [EventWriter(sys.stdout), watch], recorder)
    with _ended_by_signals(pipeline):
        try:
            pipeline.run()
        except BrokenPipeError:
            # Whoever read our events has gone; what was recorded is closed and safe.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return BROKEN_PIPE_EXIT
    if pipeline.store_error is not None:
        print(f"roastside: {pipeline.store_error}", file=sys.stderr)
        return pipeline.store_error.exit_code
    return 0


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
