"""What the channels of a source are called: in a recording, and by people."""

from __future__ import annotations

from roastside.probes.source import Source
from roastside.probes.wire.choice import AIR, BEAN
from roastside.record.format import AIR as AIR_COLUMN
from roastside.record.format import TEMPERATURE_SUFFIX

__all__ = ["AIR_COLUMN", "column", "further_columns", "own_rows", "spoken"]


def column(channel: str) -> str:
    """A channel's column in a recording; only bean and air have another name there."""
    return f"{channel}{TEMPERATURE_SUFFIX}" if channel in (BEAN, AIR) else channel


def spoken(channel: str) -> str:
    """A channel or column as people call it: `exhaust_c` is exhaust."""
    return channel.removesuffix(TEMPERATURE_SUFFIX).replace("_", " ")


def further_columns(source: Source) -> tuple[str, ...]:
    """The columns a source fills besides those of bean and air; none if it cannot tell."""
    channels: tuple[str, ...] = getattr(source, "channels", ())
    return tuple(channel for channel in channels if channel not in (BEAN, AIR))


def own_rows(source: Source) -> tuple[str, ...]:
    """The columns that come in readings of their own, from adapters without the bean probe."""
    columns: tuple[str, ...] = getattr(source, "own_rows", ())
    return columns
