"""From the words of a port and a wire to the source of readings they mean."""

from __future__ import annotations

from roastside.probes.serial_source import SerialSource
from roastside.probes.source import Clock, ProbeSource
from roastside.probes.wire.spec import MODBUS, parse_poll, parse_wire, wire_kind, wire_options


def device_source(
    port: str, wire: str, baud: int, clock: Clock, bean_needed: bool = True
) -> ProbeSource:
    """The device at a port, not yet opened; listened to or asked, as its wire needs.

    port: any pyserial URL. wire: as of `--wire` (contract 4). bean_needed: refuse a wire that does
    not look for the bean probe. Raises UsageError if the wire's words are wrong.
    """
    if wire_kind(wire) != MODBUS:
        return SerialSource(port, parse_wire(wire, bean_needed), baud, clock, parse_poll(wire))
    # Here and not above: pymodbus takes long to load, and only those who need it shall wait.
    from roastside.probes.modbus_source import ModbusSource
    from roastside.probes.wire.modbus_spec import modbus_spec

    return ModbusSource(port, modbus_spec(wire_options(wire), bean_needed), baud, clock)
