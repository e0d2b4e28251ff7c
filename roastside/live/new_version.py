"""A new version of a reference: what it is made of, what becomes of it, and keeping it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from roastside.book.rows import Roast, Version
from roastside.book.store import Book
from roastside.book.titles_in_use import titles_in_use
from roastside.book.versions import make_current, take_in_version, version_titled, versions
from roastside.core.change import figures_of
from roastside.core.errors import BookError, RoastsideError, UsageError
from roastside.core.findings import clock
from roastside.core.reference import Reference
from roastside.core.repeats import disagreeing, mean_of_repeats
from roastside.core.text import clean
from roastside.core.units import CELSIUS, Degrees
from roastside.live.figure_words import figures_in_words
from roastside.live.references import from_roast, save_reference
from roastside.live.start import who_roasted
from roastside.record.lineage import Lineage
from roastside.record.reader import read_roast_file
from roastside.record.titles import next_title, split_title


@dataclass(frozen=True, slots=True)
class Beginning:
    """What a new version begins from. `origin`: roast, repeats or edit.

    `name` and `coffee` are proposed; `followed` is the title of the version that is edited, or that
    the roasts were held against. `files` are named as in the book, `called` tells them apart.
    `own_title`: that of the one recording it is made from.
    """

    origin: str
    name: str
    coffee: str
    followed: str
    files: tuple[str, ...]
    paths: tuple[Path, ...]
    called: tuple[str, ...]
    own_title: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Begun:
    """The curve of a beginning, and sentences about it."""

    reference: Reference
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person said of a new version, as typed; `change` is an edit in the roaster's words."""

    name: str
    coffee: str
    change: str = ""
    author: str = ""
    reason: str = ""
    current: bool = True


@dataclass(frozen=True, slots=True)
class KeptVersion:
    """A version that is kept. `remark`: a sentence if not all that was wished came true.

    `version_id` is None if the book does not know it yet.
    """

    title: str
    version_id: int | None
    remark: str = ""


def begin_with_version(book: Book, version: Version) -> Beginning:
    """To edit a version."""
    return Beginning(
        "edit",
        version.name,
        version.coffee,
        version.title,
        (),
        (book.located(version.file),),
        (version.title,),
    )


def begin_with_roasts(book: Book, roasts: Sequence[Roast]) -> Beginning:
    """To make a reference from a roast, or from the mean of several."""
    first = roasts[0]
    followed = next((roast.reference_title for roast in roasts if roast.reference_title), "")
    coffee = next((roast.coffee for roast in roasts if roast.coffee), "")
    own_title = first.title if len(roasts) == 1 else ""
    own_name, version = split_title(own_title)
    proposed = own_name if version else split_title(followed)[0]
    return Beginning(
        "roast" if len(roasts) == 1 else "repeats",
        proposed or coffee or split_title(first.title)[0],
        coffee,
        followed,
        tuple(roast.file for roast in roasts),
        tuple(book.located(roast.file) for roast in roasts),
        tuple(_called(roast) for roast in roasts),
        own_title=own_title,
    )


def begun(beginning: Beginning, degrees: Degrees = CELSIUS) -> Begun:
    """Read the files and smooth them, which takes a while. Raises RecordError or UsageError."""
    each = [
        from_roast(read_roast_file(path), title)
        for path, title in zip(beginning.paths, beginning.called, strict=True)
    ]
    reference = each[0] if len(each) == 1 else mean_of_repeats(beginning.name, each)
    told = [figures_in_words(figures_of(reference), degrees)]
    if len(each) > 1:
        told += _corridor_words(reference, degrees)
        told += [odd.words for odd in disagreeing(each, degrees)] or ["None of them disagrees."]
    told += [*_guess_words(reference), *_cue_words(reference)]
    return Begun(reference, tuple(filter(None, told)))


def title_to_be(book: Book, name: str, own_title: str = "") -> str:
    """What the next version of the reference `name` is called. Raises UsageError for no name.

    A recording that is itself titled as a version that nobody made, `House espresso v3`, becomes
    that version: roasts may name it already.
    """
    is_version = split_title(own_title)[1] is not None
    same = split_title(own_title)[0].casefold() == split_title(name)[0].casefold()
    if is_version and same and version_titled(book, own_title) is None:
        return own_title
    return next_title(titles_in_use(book), clean(name))


def people_known(book: Book) -> list[str]:
    """The people who roasted or made versions, each once; who roasted last comes first."""
    made = {each.author for each in versions(book) if each.author}
    return list(dict.fromkeys((*who_roasted(book), *sorted(made, key=str.casefold))))


def keep_version(
    book: Book, beginning: Beginning, reference: Reference, wish: Wish, at: datetime
) -> KeptVersion:
    """Store the curve as a new version, take it into the book, and make it current if wished.

    Raises UsageError for a name or coffee that is missing, BookError if the book cannot be changed,
    StoreError if the file cannot be stored; then nothing is kept.
    """
    coffee = clean(wish.coffee).strip()
    if wish.current and not coffee:
        raise UsageError(
            "no coffee is said, and a reference is current for a coffee; say which, or untick it"
        )
    if not book.writable:
        raise BookError(f"the new version cannot be kept, as {book.why_not}")
    title = title_to_be(book, wish.name, beginning.own_title)
    name, version = split_title(title)
    lineage = Lineage(
        name,
        version or 1,
        coffee,
        beginning.origin,
        _parent(book, beginning.followed, name),
        at.astimezone().isoformat(timespec="seconds"),
        clean(wish.author).strip(),
        clean(wish.change).strip(),
        clean(wish.reason).strip(),
        beginning.files,
    )
    path = save_reference(replace(reference, title=title), lineage)
    version_id = None
    try:
        version_id = take_in_version(book, path)
        if wish.current:
            make_current(book, version_id, at)
    except RoastsideError as error:
        what = "it comes into the book later" if version_id is None else "it is not current yet"
        return KeptVersion(title, version_id, f"{title} is kept, but {what}: {error}")
    return KeptVersion(title, version_id)


def _parent(book: Book, followed: str, name: str) -> str:
    """The version of the same reference that was followed, or else its newest; empty if it is new.

    A new name for an edited version still tells what it was made from.
    """
    if (found := version_titled(book, followed)) is not None:
        return found.title
    own = [each for each in versions(book) if each.name.casefold() == name.casefold()]
    return own[-1].title if own else ""


def _called(roast: Roast) -> str:
    return f"{roast.title}, {(roast.started_at or '')[:10]}".rstrip(", ")


def _corridor_words(reference: Reference, degrees: Degrees) -> list[str]:
    if reference.corridor_c is None:
        return []
    low, high = (degrees.difference(f(reference.corridor_c)) or 0.0 for f in (min, max))
    wide = f"±{low:.1f}" if f"{low:.1f}" == f"{high:.1f}" else f"±{low:.1f} to ±{high:.1f}"
    return [f"Their spread is the corridor: {wide} {degrees.unit}."]


def _guess_words(reference: Reference) -> list[str]:
    """Where nobody knows how the curve went."""
    if not (guesses := reference.guesses):
        return []
    places = ", ".join(f"from {clock(begin)} to {clock(end)}" for begin, end in guesses)
    return [f"Readings were missing {places}: its curve is a guess there, and counts as one."]


def _cue_words(reference: Reference) -> list[str]:
    if not reference.cues:
        return ["It has no cues, as no change of the controls was written down."]
    count = len(reference.cues)
    return [f"{count} cue{'s' if count > 1 else ''}: {'; '.join(c.words for c in reference.cues)}."]
