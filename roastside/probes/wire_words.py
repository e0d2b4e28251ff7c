"""Changing the words of a wire: the probes the other way round, the other unit."""

from __future__ import annotations

import re

from roastside.probes.wire.choice import AIR, BEAN

_CHANNEL = re.compile(rf"^(open_)?({BEAN}|{AIR})(?=(_unit)?=)")
_FAHRENHEIT = re.compile(r"^unit=F$", re.IGNORECASE)


def exchanged(wire: str, explicit: str) -> str:
    """A wire with the bean and the air probe exchanged; the unit stays.

    explicit: what to take where the wire does not say which field is which, empty if there is
    only one probe.
    """
    kind, options = _parts(wire)
    if not any(option.startswith(f"{AIR}=") for option in options):
        if not explicit:
            return wire
        kind, others = _parts(explicit)
        return _wire(kind, [*others, *(option for option in options if option not in others)])
    renamed = [_CHANNEL.sub(_other, option) for option in options]
    bean, air = (
        next(n for n, option in enumerate(renamed) if option.startswith(f"{channel}="))
        for channel in (BEAN, AIR)
    )
    renamed[bean], renamed[air] = renamed[air], renamed[bean]
    return _wire(kind, renamed)


def in_other_unit(wire: str) -> str:
    """A wire `lines` with bare numbers as °F, or as °C if they were °F; any other as it is."""
    kind, options = _parts(wire)
    if kind != "lines":
        return wire
    celsius = [option for option in options if not _FAHRENHEIT.match(option)]
    return _wire(kind, celsius if len(celsius) < len(options) else [*options, "unit=F"])


def _other(channel: re.Match[str]) -> str:
    return (channel[1] or "") + (AIR if channel[2] == BEAN else BEAN)


def _parts(wire: str) -> tuple[str, list[str]]:
    kind, _, words = wire.partition(":")
    return kind.strip(), [option.strip() for option in words.split(",") if option.strip()]


def _wire(kind: str, options: list[str]) -> str:
    return f"{kind}:{','.join(options)}" if options else kind
