"""How a reference got better: a chapter for each version, the first one first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from roastside.book.earned import Earned, earned
from roastside.book.notes import notes
from roastside.book.roasts import roast_in
from roastside.book.rows import Note, Version
from roastside.book.store import Book
from roastside.book.versions import versions
from roastside.core.change import change_words, figures_of
from roastside.core.errors import BookError, RoastsideError
from roastside.core.reference import Reference
from roastside.core.units import CELSIUS, Degrees
from roastside.live.day_words import day_words, days_words
from roastside.live.figure_words import figures_in_words
from roastside.record.reference_file import read_reference_file


@dataclass(frozen=True, slots=True)
class Chapter:
    """A version, where it came from in words, and what its roasts came to.

    `parent` is the version it was made from, with what that one earned; None if it has none here.
    """

    version: Version
    origin: str
    earned: Earned
    parent: Version | None
    parent_earned: Earned | None
    notes: Sequence[Note]


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The curves of a chapter, as far as they can be read, and sentences: what changed, in figures.

    Of a first version its own figures are told. If a file can not be read that is the sentence.
    """

    reference: Reference | None
    parent: Reference | None
    words: tuple[str, ...]


def story(book: Book, reference_id: int) -> list[Chapter]:
    """The chapters. Raises BookError if the book has no such reference, or cannot be read."""
    own = versions(book, reference_id)
    if not own:
        raise BookError("that reference is no longer in the book; look at the list again")
    known = {version.id: version for version in versions(book)}
    every = earned(book)
    return [_chapter(book, version, known, every) for version in own]


def curves(book: Book, chapters: Sequence[Chapter], degrees: Degrees = CELSIUS) -> list[Curve]:
    """The curves of each chapter. Reads the files of the versions and nothing of the book's
    tables, so that it can be done in another thread."""
    read: dict[str, Reference | str] = {}

    def found(version: Version | None) -> Reference | str | None:
        if version is None:
            return None
        if version.file not in read:
            try:
                read[version.file] = read_reference_file(book.located(version.file)).reference
            except RoastsideError as error:
                read[version.file] = str(error)
        return read[version.file]

    return [_curve(found(each.version), found(each.parent), degrees) for each in chapters]


def earned_words(chapter: Chapter) -> str:
    """What its roasts came to, such as `5 roasts: 4 good, 1 fair · loss 14.6 % · cup 84.2`."""
    own = chapter.earned
    if not own.roasts:
        return "Not roasted to yet."
    verdicts = ", ".join(
        f"{count} {verdict}"
        for count, verdict in ((own.good, "good"), (own.fair, "fair"), (own.poor, "poor"))
        if count
    )
    count = "1 roast" if own.roasts == 1 else f"{own.roasts} roasts"
    parts = [f"{count}: {verdicts}" if verdicts else f"{count}, no verdict yet"]
    if own.within_share is not None:
        parts.append(f"in the corridor for {100.0 * own.within_share:.0f} %")
    if own.loss is not None:
        parts.append(f"loss {100.0 * own.loss:.1f} %")
    parts.append(cup_words(chapter) or "no cup score yet")
    return " · ".join(parts)


def cup_words(chapter: Chapter) -> str:
    """The mean cup score and what it gained on the parent, `cup 84.2, +1.1 against v2`.

    How many cups that was is told where not every roast has a score. Empty without a score.
    """
    own, before = chapter.earned, chapter.parent_earned
    if own.cup_score is None:
        return ""
    told = f"cup {own.cup_score:.1f}"
    if own.scored < own.roasts:
        told += f" (of {own.scored})"
    if before is None or before.cup_score is None or chapter.parent is None:
        return told
    gained = round(own.cup_score, 1) - round(before.cup_score, 1)
    by = f"{gained:+.1f}".replace("-", "−") if abs(gained) >= 0.05 else "as good"
    return f"{told}, {by} {'as' if by == 'as good' else 'against'} {_called(chapter)}"


def _chapter(
    book: Book, version: Version, known: Mapping[int, Version], every: Mapping[int, Earned]
) -> Chapter:
    parent = None if version.parent_id is None else known.get(version.parent_id)
    return Chapter(
        version,
        _origin(book, version, parent),
        every.get(version.id, Earned()),
        parent,
        None if parent is None else every.get(parent.id, Earned()),
        notes(book, version_id=version.id),
    )


def _origin(book: Book, version: Version, parent: Version | None) -> str:
    files = [
        str(row[0])
        for row in book.db.execute(
            "SELECT file FROM version_source WHERE version_id = ? ORDER BY file", (version.id,)
        )
    ]
    if version.origin == "edit":
        came = "an earlier version" if parent is None else _short(parent, version)
        return f"From {came}: {version.change or 'an edit'}."
    started = [roast.started_at or "" for file in files if (roast := roast_in(book, file))]
    days = sorted(day[:10] for day in started if day)
    if version.origin == "repeats":
        when = f", {days_words(days[0], days[-1])}" if days else ""
        return f"The mean of {len(files) or 'several'} roasts{when}."
    if version.origin == "roast":
        return f"Made from the roast of {day_words(days[0])}." if days else "Made from a roast."
    return "Brought as a file."


def _curve(own: Reference | str | None, parent: Reference | str | None, degrees: Degrees) -> Curve:
    if not isinstance(own, Reference):
        return Curve(None, None, (own or "",))
    figures = figures_of(own)
    if not isinstance(parent, Reference):
        return Curve(own, None, (figures_in_words(figures, degrees),))
    words = change_words(figures_of(parent), figures, degrees)
    return Curve(own, parent, tuple(words) or ("No figure changed.",))


def _called(chapter: Chapter) -> str:
    return "" if chapter.parent is None else _short(chapter.parent, chapter.version)


def _short(version: Version, beside: Version) -> str:
    """`v2` beside another version of the same reference, else the whole title."""
    return f"v{version.version}" if version.reference_id == beside.reference_id else version.title
