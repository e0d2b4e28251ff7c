"""Asking what is still to be known of a roast: after its end, or from Today's list."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import App

from roastside.core.errors import RoastsideError

if TYPE_CHECKING:
    from roastside.book.rows import Roast
    from roastside.book.store import Book


def ask_to_fill_in(
    app: App[None],
    find: Callable[[], tuple[Book, Roast]],
    then: Callable[[], None],
    only_if_unfinished: bool = False,
) -> None:
    """Show the form of the roast that `find` gives with its book; `then` comes in any case.

    If it cannot be found now the person is told why; nothing has to be filled in.
    """
    from roastside.app.screens.fill_in import FillInScreen

    try:
        book, roast = find()
    except RoastsideError as error:
        told = f"Not to be filled in now: {str(error).rstrip('.')}."
        app.notify(told, severity="warning", timeout=15.0, markup=False)
        then()
        return
    if only_if_unfinished and not roast.unfinished:
        book.close()
        then()
        return

    def answered(_: bool | None) -> None:
        book.close()
        then()

    app.push_screen(FillInScreen(book, roast), answered)
