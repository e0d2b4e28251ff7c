"""What people add to a roast when it is over: read as they write it, kept in the roast's file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError, UsageError
from roastside.core.text import clean
from roastside.record.facts import append_fact

VERDICTS = ("good", "fair", "poor")
SETTLED = "settled"

_GRAMS = {"g": 1.0, "kg": 1000.0, "lb": 453.59237, "lbs": 453.59237, "oz": 28.349523125}
"""The pound is 0.45359237 kg by definition (International Yard and Pound Agreement, 1959), the
ounce a sixteenth of it."""

_WEIGHT = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*)\.?", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_LEAST_BARE_G = 20.0
"""A bare number below this is more likely kilograms or pounds. A choice."""

_MOST_G = 100_000.0
_BEST_SCORE = 100.0
_LONGEST_TEXT = 400


@dataclass(frozen=True, slots=True)
class Fact:
    """Something a person may fill in: its key in the file, what it is called, how to write it."""

    key: str
    words: str
    hint: str = ""


FACTS = (
    Fact("title", "Title"),
    Fact("coffee", "Coffee"),
    Fact("lot", "Lot"),
    Fact("charge_weight_g", "Charge weight", "1500 g, 1.5 kg or 3.3 lb"),
    Fact("roasted_weight_g", "Roasted weight", "1281 g, 1.281 kg or 2.82 lb"),
    Fact("colour", "Colour", "a number off your meter"),
    Fact("verdict", "Verdict"),
    Fact("cup_score", "Cup score", "0 to 100"),
    Fact("remarks", "Remarks"),
)
"""All of them, in the order of the form."""


def texts_of(roast: Roast) -> dict[str, str]:
    """What the form begins with, by key."""
    return {
        "title": roast.title,
        "coffee": roast.coffee,
        "lot": roast.lot,
        "charge_weight_g": _weight_text(roast.charge_weight_g),
        "roasted_weight_g": _weight_text(roast.roasted_weight_g),
        "colour": _number_text(roast.colour),
        "verdict": roast.verdict,
        "cup_score": _number_text(roast.cup_score),
        "remarks": roast.remarks,
        SETTLED: "yes" if roast.settled else "",
    }


def grams(text: str) -> float:
    """A weight as people write it; a bare number is grams. Raises UsageError, part of a sentence.

    Several parts are added: `3 lb 5 oz`.
    """
    parts = _WEIGHT.findall(text)
    if not parts or _WEIGHT.sub("", text).strip():
        raise UsageError("is no weight; write it as 1500 g, 1.5 kg or 3.3 lb")
    total_g = 0.0
    for number, unit in parts:
        value = float(number.replace(",", "."))
        if not unit and value < _LEAST_BARE_G and value:
            raise UsageError("lacks its unit; write it as 1500 g, 1.5 kg or 3.3 lb")
        if unit and unit.casefold() not in _GRAMS:
            raise UsageError(f"has a unit that is not known ({unit}); use g, kg, lb or oz")
        total_g += value * _GRAMS[unit.casefold() or "g"]
    if not 0.0 < total_g <= _MOST_G:
        raise UsageError("is no weight of a batch; write it as 1500 g, 1.5 kg or 3.3 lb")
    return total_g


def loss_words(charge_text: str, roasted_text: str) -> str:
    """The roast loss of two weights as written, `Roast loss 14.6 %`; empty until both are known."""
    try:
        charge_g, roasted_g = grams(charge_text), grams(roasted_text)
    except UsageError:
        return ""
    if roasted_g > charge_g:
        return "More came out than went in: look at the two weights again."
    return f"Roast loss {100.0 * (charge_g - roasted_g) / charge_g:.1f} %"


def changes(before: Mapping[str, str], after: Mapping[str, str]) -> dict[str, str]:
    """The facts that differ, by key, as the file keeps them; an empty text clears one.

    Raises UsageError, a sentence that names what does not fit.
    """
    named = {fact.key: fact.words for fact in FACTS}
    changed = {
        key: _kept(key, named.get(key, key), text)
        for key, text in after.items()
        if text.strip() != before.get(key, "").strip()
    }
    if {"charge_weight_g", "roasted_weight_g"} & changed.keys():
        _check_weights(after)
    return changed


def keep(book: Book, roast: Roast, changed: Mapping[str, str]) -> str:
    """Append the facts to the roast's file and take it in; a sentence if the book does not know.

    Raises RecordError or StoreError if they cannot be added to the file.
    """
    path = book.located(roast.file)
    for key, value in changed.items():
        append_fact(path, key, value)
    if not changed:
        return ""
    from roastside.book.intake import take_in

    try:
        take_in(book, path)
    except BookError as error:
        return f"It is in the roast's file, and comes into the book later: {error}"
    return ""


def _kept(key: str, words: str, text: str) -> str:
    text = clean(text.strip(), _LONGEST_TEXT)
    if not text:
        return ""
    if key.endswith("_weight_g"):
        try:
            return f"{grams(text):.10g}"
        except UsageError as error:
            raise UsageError(f"{words} “{text}” {error}.") from error
    if key in ("colour", "cup_score"):
        return _number(key, words, text)
    if key == "verdict" and text not in VERDICTS:
        raise UsageError(f"{words} “{text}” is none of {', '.join(VERDICTS)}; choose one.")
    return text


def _number(key: str, words: str, text: str) -> str:
    if not _NUMBER.fullmatch(text):
        raise UsageError(f"{words} “{text}” is no number; write one such as 85 or 85.5.")
    value = float(text.replace(",", "."))
    if key == "cup_score" and not 0.0 <= value <= _BEST_SCORE:
        raise UsageError(f"{words} {text} is out of range; scores go from 0 to 100.")
    return f"{value:.10g}"


def _check_weights(texts: Mapping[str, str]) -> None:
    charge, roasted = texts.get("charge_weight_g", ""), texts.get("roasted_weight_g", "")
    if charge.strip() and roasted.strip() and grams(roasted) > grams(charge):
        raise UsageError(
            f"Roasted weight “{roasted.strip()}” is more than the charge weight "
            f"“{charge.strip()}”; look at the two again."
        )


def _weight_text(value_g: float | None) -> str:
    return "" if value_g is None else f"{round(value_g, 1):.10g} g"


def _number_text(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
