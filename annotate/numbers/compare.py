"""Sessions side by side: one row each, oldest first.

One session each shows a difference between sessions, not between horses, and no more than its few events
can prove: the interval stands beside every rate. Time that nobody watched or tagged stands in a column of its
own, for a rate says nothing about it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from annotate.days import day_text
from annotate.numbers.habituation import in_time
from annotate.numbers.rates import RateRatio
from annotate.numbers.reasons import reasons_of_a_row
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.survival import LogRank
from annotate.numbers.wording import (
    ENOUGH_EVENTS,
    NOT_KNOWN,
    Line,
    chance_note,
    duration_text,
    joined,
    median_note,
    rate_note,
    rate_text,
    ratio_line,
)

HEADINGS = (
    "Day",
    "In sight",
    "Left moving",
    "Right moving",
    "Balance",
    "Reactions",
    "Half settled in",
    "Reactions against",
    "Not known",
)
COLUMNS = (
    "seconds.visible",
    "rein.left_s",
    "rein.right_s",
    "rein.balance",
    "reactions.per_min",
    "recovery.median_s",
    "against.reactions.ratio",
    "missing",
)


BALANCE_MEANS = "Balance: 0 is even, +1 is all on the left rein, -1 all on the right."
DAYS_NOT_HORSES = "One session each shows a difference between days, not between horses."


@dataclass(frozen=True)
class Row:
    """One session: how a person and how the command line calls it, and a line per column in the order of `COLUMNS`.

    `against` is the session that was chosen to compare with, `before` the same horse's session before it;
    None where it is that session itself, or where there is none.
    """

    numbers: SessionNumbers
    title: str
    name: str
    against: SessionNumbers | None
    before: SessionNumbers | None
    cells: tuple[Line, ...]

    @property
    def ratio(self) -> RateRatio | None:
        """Its rate of reactions in terms of that of the chosen session."""
        if self.against is None:
            return None
        return RateRatio(self.numbers.reactions.seen, self.against.reactions.seen)


def compare(sessions: Iterable[SessionNumbers], against: int | None = None) -> tuple[Row, ...]:
    """A row per session, by day and number of the day; `against` is the chosen one's id, else the first's."""
    every = in_time(sessions)
    chosen = next((one for one in every if one.session_id == against), every[0] if every else None)
    horses = {one.horse for one in every}
    last: dict[str, SessionNumbers] = {}
    rows: list[Row] = []
    for numbers in every:
        title, name = (told(numbers, with_horse=len(horses) > 1) for told in (title_of, name_of))
        other = chosen if chosen is not numbers else None
        rows.append(Row(numbers, title, name, other, last.get(numbers.horse), _cells(numbers, other)))
        last[numbers.horse] = numbers
    return tuple(rows)


def compare_table(rows: Iterable[Row]) -> list[str]:
    """The rows in columns under their headings, for a terminal."""
    table = [HEADINGS, *((row.name, *(cell.figure for cell in row.cells)) for row in rows)]
    widths = [max(len(line[column]) for line in table) for column in range(len(HEADINGS))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in table
    ]


def title_of(numbers: SessionNumbers, *, with_horse: bool = False) -> str:
    """What a person calls a session beside others: '4 May 2026', '4 May 2026, session 2'."""
    named = day_text(numbers.day) + (f", session {numbers.number}" if numbers.number > 1 else "")
    return f"{numbers.horse}, {named}" if with_horse else named


def name_of(numbers: SessionNumbers, *, with_horse: bool = False) -> str:
    """What the command line calls it: '2026-05-04', '2026-05-04/2'."""
    day = numbers.day.isoformat()
    named = day if numbers.number == 1 else f"{day}/{numbers.number}"
    return f"{numbers.horse}/{named}" if with_horse else named


def ratio_words(row: Row) -> Line:
    """A session's reactions against those of the chosen one, for a person."""
    if row.ratio is None:
        return Line(COLUMNS[6], "Against", "", "the others are compared with this one")
    at_random = row.numbers.reactions.at_random and (
        row.against is None or row.against.reactions.at_random
    )
    return ratio_line(COLUMNS[6], "Against", row.ratio, why=why_no_ratio(row.ratio), at_random=at_random)


def why_no_ratio(ratio: RateRatio) -> str:
    """Why one session's rate cannot be put in terms of another's; empty where it can."""
    if not (ratio.one.time_ns and ratio.other.time_ns):
        return "Nothing was visible in one of the two."
    if not ratio.is_defined:
        return "There was no reaction in either."
    return "" if ratio.other.count else "There was no reaction in the other, so there is no upper end."


def settling_words(numbers: SessionNumbers, before: SessionNumbers | None) -> str:
    """Whether it settled sooner than in the horse's session before: a description, never a proof."""
    if before is None:
        return ""
    found = numbers.recovery.against(before.recovery)
    count = min(numbers.recovery.curve.count, before.recovery.curve.count)
    when = f"than on {day_text(before.day)}"
    if found.p is None or count < ENOUGH_EVENTS:
        return f"too few recoveries to say whether it settled sooner {when}"
    word = "sooner" if found.observed > found.expected else "later"
    if not found.chi2:
        word, when = "alike", f"as on {day_text(before.day)}"
    return f"settled {word} {when}; {chance_note(found.p)}. This describes and proves nothing"


def missing(numbers: SessionNumbers) -> str:
    """What of the session is in no rate, in words; empty where everything was watched and tagged."""
    return not_counted(numbers.out_of_sight_ns, numbers.gaps_ns, numbers.untagged_ns)


def not_counted(out_of_sight_ns: int, gaps_ns: int, untagged_ns: int) -> str:
    """The same of any three times."""
    parts = ((out_of_sight_ns, "out of sight"), (gaps_ns, "in gaps"), (untagged_ns, "no gait"))
    return ", ".join(f"{duration_text(time_ns)} {words}" for time_ns, words in parts if time_ns)


def _cells(numbers: SessionNumbers, against: SessionNumbers | None) -> tuple[Line, ...]:
    why = reasons_of_a_row(numbers)
    rein, reactions, curve = numbers.rein, numbers.reactions, numbers.recovery.curve
    ratio = ratio_words(Row(numbers, "", "", against, None, ()))
    figures = (
        (duration_text(numbers.visible_ns), ""),
        (duration_text(rein.left_ns), ""),
        (duration_text(rein.right_ns), ""),
        (NOT_KNOWN if rein.balance is None else f"{float(rein.balance):+.3f}", ""),
        (rate_text(reactions.seen), rate_note(reactions.seen, at_random=reactions.at_random)),
        (
            NOT_KNOWN if curve.median_ns is None else duration_text(curve.median_ns),
            median_note(curve) if curve.count else "",
        ),
        (ratio.figure or "this one", ratio.note),
        (missing(numbers), ""),
    )
    return tuple(
        Line(key, label, figure, why.get(key, note))
        for key, label, (figure, note) in zip(COLUMNS, HEADINGS[1:], figures, strict=True)
    )


def first_against_last(rows: Sequence[Row]) -> tuple[RateRatio, LogRank] | None:
    """The last session's reactions in terms of the first's, and its recoveries against them.

    None where there are not two sessions, or where they are not all of one horse.
    """
    if len(rows) < 2 or len({row.numbers.horse for row in rows}) > 1:
        return None
    first, last = rows[0].numbers, rows[-1].numbers
    return RateRatio(last.reactions.seen, first.reactions.seen), last.recovery.against(first.recovery)


def first_against_last_words(rows: Sequence[Row]) -> str:
    """The same in a sentence."""
    found = first_against_last(rows)
    if found is None:
        return ""
    ratio, _ = found
    line = ratio_line("", "", ratio, why=why_no_ratio(ratio), at_random=True)
    return f"Last against first: reactions {line.figure}" + joined("", f"; {line.note}" if line.note else "")
