"""What the book keeps of a recording: a row of the table `roast`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from math import isfinite
from typing import Any

from roastside.book.coffees import coffee_named, lot_named
from roastside.book.figures import figures
from roastside.book.moments import day_words, read_moment, utc_text
from roastside.book.recording import Recording
from roastside.book.store import Book
from roastside.book.targets import Targets
from roastside.core.readings import MarkName
from roastside.core.text import clean
from roastside.record.format import parse_fact, parse_number

VERDICTS = ("good", "fair", "poor")

_AUTO = "auto"
_LONGEST_SEARCH = 4000


def roast_row(book: Book, found: Recording, targets: Targets) -> dict[str, Any]:
    """The columns of a roast and what is in them. To be called inside `writing`.

    Coffee and lot are made if they are new.
    """
    said = found.header
    started_at = read_moment(said.get("started_at", ""))
    title = said.get("title") or clean(found.path.stem)
    coffee, lot = said.get("coffee", ""), said.get("lot", "")
    coffee_id = coffee_named(book, coffee) if coffee else None
    reference = said.get("reference", "")
    version_id, target = targets.named(reference)
    charged_g, roasted_g = (
        _amount(said.get(key, "")) for key in ("charge_weight_g", "roasted_weight_g")
    )
    verdict = said.get("verdict", "").casefold()
    values = {
        "file": book.named(found.path),
        "content_hash": found.content_hash,
        "opening_hash": found.opening_hash,
        "size_bytes": found.size_bytes,
        "modified_ns": found.modified_ns,
        "started_at": started_at and started_at.isoformat(timespec="seconds"),
        "started_utc": started_at and utc_text(started_at),
        "title": title,
        "coffee_id": coffee_id,
        "lot_id": lot_named(book, coffee_id, lot) if coffee_id and lot else None,
        "reference_title": reference,
        "version_id": version_id,
        "roasted_by": said.get("roasted_by", ""),
        "charge_weight_g": charged_g,
        "roasted_weight_g": roasted_g,
        "loss": (charged_g - roasted_g) / charged_g if charged_g and roasted_g else None,
        "colour": _amount(said.get("colour", "")),
        "verdict": verdict if verdict in VERDICTS else "",
        "cup_score": _amount(said.get("cup_score", "")),
        "remarks": said.get("remarks", ""),
        "settled": int(said.get("settled", "").casefold() == "yes"),
    }
    values |= asdict(figures(found.time_s, found.bean_c, found.marks, target))
    words = [title, coffee, lot, reference, said.get("roasted_by", ""), verdict]
    words += [said.get("remarks", ""), "" if started_at is None else day_words(started_at)]
    words += _notes(found)
    values["search"] = "\n".join(filter(None, words)).casefold()[:_LONGEST_SEARCH]
    return values


def _notes(found: Recording) -> Iterator[str]:
    """What people wrote beside the marks; facts are told elsewhere, controls by their thousands."""
    for row in found.rows:
        if row.mark == MarkName.CONTROL or row.note == _AUTO:
            continue
        for text in (row.value, row.note):
            if text and not (row.mark == MarkName.COMMENT and parse_fact(text)):
                yield text


def _amount(text: str) -> float | None:
    """A number above zero, None for anything else."""
    number = parse_number(text)
    return number if number is not None and isfinite(number) and number > 0.0 else None
