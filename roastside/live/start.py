"""What a person chooses before a roast: what to roast, to which reference, heard on which line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from roastside.book.coffees import coffees, former_names, lots
from roastside.book.filters import Condition
from roastside.book.roasts import roasts
from roastside.book.rows import Coffee, Version
from roastside.book.store import Book
from roastside.book.versions import versions
from roastside.core.errors import BookError, UsageError
from roastside.core.text import clean
from roastside.live.filling_in import grams
from roastside.live.kept import kept_recordings

_GOOD_ROASTS = 20


@dataclass(frozen=True, slots=True)
class CoffeeChoice:
    """A coffee that can be roasted: its lots, newest first, and what it was roasted with last.

    `reference`: path of its current reference, empty without one.
    """

    name: str
    lots: tuple[str, ...] = ()
    reference: str = ""
    charge_weight: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """What is there to choose from. `references`: words and paths.

    These are the versions, then roasts that were called good; only without either, all recordings.
    `former`: what coffees were called before, and are called now.
    """

    coffees: tuple[CoffeeChoice, ...] = ()
    references: tuple[tuple[str, str], ...] = ()
    people: tuple[str, ...] = ()
    former: Mapping[str, str] = field(default_factory=dict)

    def coffee(self, name: str) -> CoffeeChoice | None:
        """The coffee that is or was called this, however it is capitalised."""
        key = name.strip().casefold()
        names = {old.casefold(): now for old, now in self.former.items()}
        names |= {each.name.casefold(): each.name for each in self.coffees}
        return next((each for each in self.coffees if each.name == names.get(key)), None)

    def now_called(self, name: str) -> str:
        """What a coffee of this name is called now; the name as it is, of one that is not known."""
        found = self.coffee(name)
        return name if found is None else found.name


def choices(home: Path) -> Choices:
    """What the book knows; the recordings alone if there is no book to read."""
    recordings = tuple((kept.path.stem, str(kept.path)) for kept in kept_recordings())
    try:
        with Book.open(home, write=False) as book:
            known = versions(book)
            return Choices(
                tuple(_choice(book, coffee, known) for coffee in coffees(book)),
                (*_versions(book, known), *_good_roasts(book)) or recordings,
                who_roasted(book),
                former_names(book),
            )
    except BookError:
        return Choices(references=recordings)


def _versions(book: Book, known: Sequence[Version]) -> Iterator[tuple[str, str]]:
    """The current versions, then the others."""
    for each in sorted(known, key=lambda each: not each.is_current):
        words = f"{each.title} (current)" if each.is_current else each.title
        yield words, str(book.located(each.file))


def _good_roasts(book: Book) -> Iterator[tuple[str, str]]:
    """Roasts somebody called good, the newest first."""
    for each in roasts(book, Condition("roast.verdict = 'good'", ()), most=_GOOD_ROASTS):
        day = (each.started_at or "")[:10]
        yield f"{each.title}, {day}".rstrip(", "), str(book.located(each.file))


def _choice(book: Book, coffee: Coffee, known: list[Version]) -> CoffeeChoice:
    current = next((each for each in known if each.id == coffee.current_version_id), None)
    last = roasts(
        book,
        Condition("roast.coffee_id = ? AND roast.charge_weight_g > 0", (coffee.id,)),
        most=1,
    )
    return CoffeeChoice(
        coffee.name,
        tuple(lot.name for lot in lots(book, coffee.id)),
        "" if current is None else str(book.located(current.file)),
        f"{last[0].charge_weight_g:.10g} g" if last else "",
    )


def who_roasted(book: Book) -> tuple[str, ...]:
    """Who roasted, the latest first."""
    rows = book.db.execute(
        "SELECT roasted_by FROM roast WHERE roasted_by <> '' GROUP BY roasted_by"
        " ORDER BY max(started_utc) DESC LIMIT 20"
    )
    return tuple(str(row[0]) for row in rows)


def roast_facts(
    coffee: str = "", lot: str = "", charge_weight: str = "", roasted_by: str = ""
) -> Mapping[str, str]:
    """Header lines of a recording from what was typed; what was left empty is not there.

    Raises UsageError, a sentence, if the weight is none.
    """
    facts = {"coffee": clean(coffee).strip(), "lot": clean(lot).strip()}
    facts["roasted_by"] = clean(roasted_by).strip()
    if charge_weight.strip():
        try:
            facts["charge_weight_g"] = f"{grams(charge_weight):.10g}"
        except UsageError as error:
            raise UsageError(f"charge weight “{clean(charge_weight)}” {error}") from error
    return {key: value for key, value in facts.items() if value}
