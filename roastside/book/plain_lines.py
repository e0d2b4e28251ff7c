"""Plain lines of a roast file, a time and perhaps a bean temperature, read all at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roastside.core.smooth import Curve

_COMMA, _NEWLINE, _QUOTE, _POINT, _MINUS, _NAUGHT = b',\n".-0'

_MOST_DIGITS = 15
"""So many make a whole number that a float holds exactly, and so does ten to that power: their
quotient is the float nearest to the number as written, the one that `float` gives."""

_TENS = 10.0 ** np.arange(_MOST_DIGITS + 1)
_LONGEST_NUMBER = _MOST_DIGITS + len("-.")
_LONGEST_CELL = 24
_LAST_COLUMNS = 3
_LEAST_COLUMNS = 2 + _LAST_COLUMNS

_Flags = NDArray[np.bool_]
_Places = NDArray[np.intp]


def split_plain(body: bytes, columns: int) -> tuple[Curve, Curve, bytes]:
    """Times (s) and bean temperatures (°C, NaN where the cell is empty) of the plain lines, shape
    (n,), and all other lines as they stand.

    A plain line has `columns` cells: a number, a number or nothing, short cells without quotes, and
    three empty ones at the end. A reading as the recorder writes it is one.
    """
    # Some more, so that there is something to look at beyond a short number at the end.
    data = np.frombuffer(body + bytes(_LONGEST_NUMBER + 1), np.uint8)
    cuts = np.flatnonzero((data == _COMMA) | (data == _NEWLINE))
    last = np.flatnonzero(data[cuts] == _NEWLINE)
    if columns < _LEAST_COLUMNS or not last.size:
        return np.empty(0), np.empty(0), body
    first = np.concatenate(([0], last[:-1] + 1))
    end = cuts[last] + 1
    begin = np.concatenate(([0], end[:-1]))
    plain = last - first + 1 == columns
    cells = cuts[first[plain, None] + np.arange(columns)]
    fits = _looks_plain(data, begin[plain], cells)
    time_s, is_time = _numbers(data, begin[plain], cells[:, 0])
    bean_c, is_bean = _numbers(data, cells[:, 0] + 1, cells[:, 1])
    empty = cells[:, 1] == cells[:, 0] + 1
    fits &= is_time & (is_bean | empty)
    bean_c[empty] = np.nan
    plain[plain] = fits
    spans = zip(begin[~plain].tolist(), end[~plain].tolist(), strict=True)
    others = b"".join([body[a:b] for a, b in spans]) + body[end[-1] :]
    return time_s[fits], bean_c[fits], others


def _looks_plain(data: NDArray[np.uint8], begin: _Places, cells: _Places) -> _Flags:
    """Whether all but the numbers of these lines is as it is in plain ones.

    begin: where each line begins, shape (n,); cells: where each of its cells ends, (n, columns).
    """
    middle = np.diff(cells[:, 1:-_LAST_COLUMNS], axis=1) - 1
    fits: _Flags = np.all(middle <= _LONGEST_CELL, axis=1)
    fits &= cells[:, -1] - cells[:, -1 - _LAST_COLUMNS] == _LAST_COLUMNS
    quotes = np.flatnonzero(data == _QUOTE)
    if quotes.size:
        fits &= np.searchsorted(quotes, begin) == np.searchsorted(quotes, cells[:, -1])
    return fits


def _numbers(data: NDArray[np.uint8], begin: _Places, end: _Places) -> tuple[Curve, _Flags]:
    """The numbers that stand from `begin` to `end`, shape (n,), and whether they are numbers.

    `12`, `-3.50`: digits, perhaps a minus before them, and perhaps a point between two of them.
    """
    negative = data[begin] == _MINUS
    begin = begin + negative
    length = end - begin
    fits = (length > 0) & (length < _LONGEST_NUMBER)
    places = np.arange(length[fits].max(initial=1))[:, None]
    inside = places < length
    characters = data[begin + places]
    digits = characters - _NAUGHT  # what is below a naught comes round to above a nine
    is_digit, is_point = inside & (digits <= 9), inside & (characters == _POINT)
    points = is_point.sum(axis=0)
    decimals = np.where(points > 0, length - 1 - is_point.argmax(axis=0), 0)
    fits &= ((is_digit | is_point) == inside).all(axis=0) & (length - points <= _MOST_DIGITS)
    fits &= (points == 0) | ((points == 1) & (decimals > 0) & (decimals < length - 1))
    whole = np.zeros(len(begin))
    for digit, counts in zip(digits, is_digit, strict=True):
        whole = np.where(counts, 10.0 * whole + digit, whole)
    values = whole / _TENS[np.clip(decimals, 0, _MOST_DIGITS)]
    return np.where(negative, -values, values), fits
