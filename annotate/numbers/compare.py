"""Sessions side by side: one row each, oldest first.

One session each shows a difference between sessions, not between horses, and no more than its few events
can prove: the interval stands beside every rate.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from annotate.numbers.habituation import History, history, in_time, stimuli
from annotate.numbers.json_figures import in_seconds, of_trend, plain
from annotate.numbers.reasons import reasons, reasons_of_history
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import NOT_KNOWN, Line, duration_text, rate_note, rate_text

HEADINGS = ("Day", "In sight", "Left moving", "Right moving", "Balance", "Reactions", "Half settled")
COLUMNS = (
    "seconds.visible",
    "rein.left_s",
    "rein.right_s",
    "rein.balance",
    "reactions.per_min",
    "recovery.median_s",
)


@dataclass(frozen=True)
class Row:
    """One session: what it is called, and a line per column in the order of `COLUMNS`."""

    numbers: SessionNumbers
    title: str
    cells: tuple[Line, ...]


def compare(sessions: Iterable[SessionNumbers]) -> tuple[Row, ...]:
    """A row per session, by day and number of the day."""
    return tuple(Row(numbers, _title(numbers), _cells(numbers)) for numbers in in_time(sessions))


def compare_json(sessions: Iterable[SessionNumbers]) -> dict[str, Any]:
    """The same as a JSON object, with every stimulus over all sessions; undefined figures are null."""
    every = in_time(sessions)
    return {
        "sessions": [_row_json(numbers) for numbers in every],
        "exposures": {name: _history_json(history(every, name)) for name in stimuli(every)},
    }


def compare_table(rows: Iterable[Row]) -> list[str]:
    """The rows in columns under their headings, for a terminal."""
    table = [HEADINGS, *((row.title, *(cell.figure for cell in row.cells)) for row in rows)]
    widths = [max(len(line[column]) for line in table) for column in range(len(HEADINGS))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in table
    ]


def _title(numbers: SessionNumbers) -> str:
    day = numbers.day.isoformat()
    return day if numbers.number == 1 else f"{day}/{numbers.number}"


def _cells(numbers: SessionNumbers) -> tuple[Line, ...]:
    why = reasons(numbers)
    rein, reactions, curve = numbers.rein, numbers.reactions, numbers.recovery.curve
    figures = (
        (duration_text(numbers.visible_ns), ""),
        (duration_text(rein.left_ns), ""),
        (duration_text(rein.right_ns), ""),
        (NOT_KNOWN if rein.balance is None else f"{float(rein.balance):+.3f}", ""),
        (rate_text(reactions.seen), rate_note(reactions.seen, at_random=reactions.at_random)),
        (NOT_KNOWN if curve.median_ns is None else duration_text(curve.median_ns), ""),
    )
    return tuple(
        Line(key, label, figure, why.get(key, note))
        for key, label, (figure, note) in zip(COLUMNS, HEADINGS[1:], figures, strict=True)
    )


def _history_json(past: History) -> dict[str, Any]:
    return {
        "count": len(past.each),
        "days": len(past.first_of_each_day.each),
        "quiet_in_a_row": past.exposures.quiet_in_a_row(),
        "severity_trend": of_trend(past.severity_trend),
        "first_of_day_trend": of_trend(past.first_of_day_trend),
        "each": [
            {
                "date": showing.day.isoformat(),
                "session": showing.session_id,
                "order_of_day": showing.order_of_day,
                "side": showing.exposure.side or "none",
                "severity": showing.exposure.severity,
            }
            for showing in past.each
        ],
        "reasons": reasons_of_history(past),
    }


def _row_json(numbers: SessionNumbers) -> dict[str, Any]:
    why = reasons(numbers)
    per_min_95 = numbers.reactions.seen.per_min_95
    curve = numbers.recovery.curve
    kept = (*COLUMNS, "reactions.per_min_95")
    return {
        "session": {
            "id": numbers.session_id,
            "horse": numbers.horse,
            "date": numbers.day.isoformat(),
            "number": numbers.number,
        },
        "seconds": {
            "visible": in_seconds(numbers.visible_ns),
            "moving": in_seconds(numbers.moving_ns),
        },
        "rein": {
            "left_s": in_seconds(numbers.rein.left_ns),
            "right_s": in_seconds(numbers.rein.right_ns),
            "balance": plain(numbers.rein.balance),
        },
        "reactions": {
            "count": numbers.reactions.count,
            "per_min": plain(numbers.reactions.seen.per_min),
            "per_min_95": None if per_min_95 is None else list(per_min_95),
        },
        "recovery": {
            "count": curve.count,
            "censored": curve.cut_short,
            "median_s": in_seconds(curve.median_ns),
        },
        "reasons": {key: why[key] for key in kept if key in why},
    }
