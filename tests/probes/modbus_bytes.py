"""Modbus RTU frames by hand, as a second opinion beside the library's."""

from __future__ import annotations


def crc(data: bytes) -> bytes:
    """The two checksum bytes as they go on the wire.

    Source: Modbus.org, MODBUS over Serial Line V1.02, appendix B (bit by bit, polynomial A001).
    """
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = (register >> 1) ^ (0xA001 if register & 1 else 0)
    return register.to_bytes(2, "little")


def frame(text: str) -> bytes:
    """Bytes from hexadecimal, with their checksum."""
    data = bytes.fromhex(text)
    return data + crc(data)


def answer(*registers: int, unit: int = 1, function: int = 4) -> bytes:
    """A unit's answer to a read of registers (16 bits without sign)."""
    data = b"".join(register.to_bytes(2, "big") for register in registers)
    return frame(bytes([unit, function, len(data)]).hex() + data.hex())
