"""Marks what a comparison of sessions cannot show: differences no larger than a second look at them made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from annotate.agreement.doubt import Doubt, proves_nothing
from annotate.errors import Trouble
from annotate.numbers.as_json import to_json
from annotate.numbers.compare import Row
from annotate.numbers.tracing import figure_at
from annotate.numbers.wording import joined

MARK = " ~"
SMALL = "~ differs by no more than a second look did"

Found = Mapping[int, Mapping[str, Doubt]]


def small_differences(row: Row, found: Found) -> tuple[str, ...]:
    """The columns in which a session differs from the chosen one by no more than a second look at either.

    `found` has the doubts of each session by its number.
    """
    if row.against is None:
        return ()
    of_one, of_other = (found.get(one.session_id, {}) for one in (row.numbers, row.against))
    figures, others = to_json(row.numbers), to_json(row.against)
    small: list[str] = []
    for cell in row.cells:
        one, other = _figure(figures, cell.key), _figure(others, cell.key)
        if one is not None and other is not None and proves_nothing(cell.key, one, other, of_one, of_other):
            small.append(cell.key)
    return tuple(small)


def marked(rows: Iterable[Row], found: Found) -> tuple[Row, ...]:
    """The rows with those figures marked, and a note on each."""
    return tuple(_marked(row, frozenset(small_differences(row, found))) for row in rows)


def is_marked(row: Row, key: str) -> bool:
    """Whether a column of a row was marked."""
    return any(cell.key == key and cell.figure.endswith(MARK) for cell in row.cells)


def _marked(row: Row, small: frozenset[str]) -> Row:
    cells = tuple(
        replace(cell, figure=cell.figure + MARK, note=joined(cell.note, SMALL)) if cell.key in small else cell
        for cell in row.cells
    )
    return replace(row, cells=cells)


def _figure(figures: Mapping[str, object], key: str) -> float | None:
    try:
        figure = figure_at(figures, key)
    except Trouble:
        return None
    is_number = isinstance(figure, int | float) and not isinstance(figure, bool)
    return float(figure) if is_number else None
