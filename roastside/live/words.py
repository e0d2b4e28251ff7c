"""A list of texts on one line, as in a form: words, and quotes around one that has spaces."""

from __future__ import annotations

import shlex
from collections.abc import Iterable

from roastside.core.errors import UsageError


def words_of(line: str) -> tuple[str, ...]:
    """The texts of a line. A backslash is a backslash, as paths of Windows have them.

    Raises UsageError, part of a sentence, if a quote is left open.
    """
    reader = shlex.shlex(line, posix=True, punctuation_chars=False)
    reader.whitespace_split = True
    reader.escape = reader.commenters = ""
    try:
        return tuple(reader)
    except ValueError as error:
        raise UsageError("a quote is left open") from error


def line_of(words: Iterable[str]) -> str:
    """The line that `words_of` reads as these texts."""
    return " ".join(map(_quoted, words))


def _quoted(word: str) -> str:
    if word and not any(each.isspace() or each in "'\"" for each in word):
        return word
    if '"' not in word:
        return f'"{word}"'
    # A double quote stands between single ones, and the text around it between double ones.
    return '"' + word.replace('"', '"\'"\'"') + '"'
