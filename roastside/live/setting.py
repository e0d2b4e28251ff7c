"""One setting: its default, its meaning to a person, and what it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import Field, field
from typing import Any

from roastside.core.errors import UsageError

TEXTS = tuple[str, ...]
"""The type of a setting that is a list of texts."""


def setting(
    default: Any,
    meaning: str,
    choices: tuple[Any, ...] = (),
    bounds: tuple[float, float] | None = None,
    check: Callable[[Any], None] | None = None,
) -> Any:
    """A field of a settings section.

    choices: all that it can be. bounds: the least and the most of a number. check: raises
    UsageError, part of a sentence, for a value that is of the right kind and still does not do.
    """
    metadata = {"meaning": meaning, "choices": choices, "bounds": bounds, "check": check}
    return field(default=default, metadata=metadata)


def fitting(each: Field[Any], wanted: Any, value: Any) -> Any:
    """A value as the setting keeps it, from the file or the form. wanted: its type.

    Raises UsageError, part of a sentence that says what the setting takes.
    """
    if wanted is float and isinstance(value, int) and not isinstance(value, bool):
        value = float(value)
    if wanted == TEXTS and isinstance(value, list):
        value = tuple(value)
    metadata = each.metadata
    if not _is_of(wanted, value) or not _within(metadata["bounds"], value):
        raise UsageError(f"it takes {takes(each, wanted)}")
    if metadata["choices"] and value not in metadata["choices"]:
        known = ", ".join(str(choice) for choice in metadata["choices"] if choice != "")
        raise UsageError(f"write one of {known}")
    if metadata["check"] is not None:
        metadata["check"](value)
    return value


def takes(each: Field[Any], wanted: Any) -> str:
    """What the setting takes, such as `a whole number from 1 to 100`."""
    if wanted == TEXTS:
        return 'a list of texts, such as ["one", "two"]'
    kind = {str: "a text in quotes", bool: "true or false", int: "a whole number"}
    words = kind.get(wanted, "a number")
    bounds = each.metadata["bounds"]
    return words if bounds is None else f"{words} from {bounds[0]:g} to {bounds[1]:g}"


def _is_of(wanted: Any, value: Any) -> bool:
    if wanted == TEXTS:
        return isinstance(value, tuple) and all(isinstance(each, str) for each in value)
    return isinstance(value, wanted) and (wanted is bool or not isinstance(value, bool))


def _within(bounds: tuple[float, float] | None, value: Any) -> bool:
    return bounds is None or bounds[0] <= value <= bounds[1]
