"""The reactions and the recovery as rows: what it is, and a cell for each session that is compared.

Plain words: a rate stands with how low or high it could be, or with 'too few to say more'.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from annotate.deliver.page.story import settling_words, worst_of
from annotate.deliver.wording import capital, reaction_words
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import NOT_KNOWN, duration_text, percent_text, rate_note, several


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure, and under it how far it can be trusted."""

    figure: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; `cells` go with the columns."""

    title: str
    cells: tuple[Cell, ...]


def reaction_rows(*sessions: SessionNumbers) -> tuple[Row, ...]:
    """A row for each figure, a cell for each session. Rows that say nothing for any are left out."""
    rows = [Row(title, tuple(tell(numbers) for numbers in sessions)) for title, tell in _FIGURES]
    stimuli = dict.fromkeys(name for numbers in sessions for name in numbers.exposures)
    rows += [
        Row(capital(name.replace("_", " ")), tuple(_shown(numbers, name) for numbers in sessions))
        for name in stimuli
    ]
    return tuple(row for row in rows if any(cell.figure not in ("", NOT_KNOWN) for cell in row.cells))


def work_rows(*sessions: SessionNumbers) -> tuple[Row, ...]:
    """How long it worked, a cell for each session."""
    gaits = dict.fromkeys(name for n in sessions for name, gait in n.gaits.items() if gait.time_ns)
    rows = [
        Row("In view", tuple(Cell(duration_text(n.visible_ns)) for n in sessions)),
        Row("Moving", tuple(Cell(duration_text(n.moving_ns)) for n in sessions)),
    ]
    rows += [Row(_gait_title(sessions, name), tuple(_gait(n, name) for n in sessions)) for name in gaits]
    rows.append(Row("Left and right", tuple(_balance(n) for n in sessions)))
    return tuple(rows)


def _gait_title(sessions: tuple[SessionNumbers, ...], name: str) -> str:
    title = next((n.sheet[name].title for n in sessions if name in n.sheet), name)
    return capital(title)


def _gait(numbers: SessionNumbers, name: str) -> Cell:
    gait = numbers.gaits.get(name)
    if gait is None or not gait.time_ns:
        return Cell("none")
    note = f"left {duration_text(gait.left_ns)}, right {duration_text(gait.right_ns)}"
    return Cell(duration_text(gait.time_ns), note if gait.left_ns or gait.right_ns else "")


def _balance(numbers: SessionNumbers) -> Cell:
    balance = numbers.rein.balance
    if balance is None:
        return Cell(NOT_KNOWN)
    left = percent_text((1 + balance) / 2)
    return Cell(f"{left} left, {percent_text((1 - balance) / 2)} right")


def _count(numbers: SessionNumbers) -> Cell:
    reactions = numbers.reactions
    if not numbers.visible_ns:
        return Cell(NOT_KNOWN)
    figure = f"{reactions.seen.count} in {duration_text(numbers.visible_ns)}"
    return Cell(figure, _rate_words(numbers))


def _rate_words(numbers: SessionNumbers) -> str:
    seen = numbers.reactions.seen
    if seen.per_min is None:
        return ""
    note = rate_note(seen, at_random=numbers.reactions.at_random)
    return f"{float(seen.per_min):.2f} a minute; {note}" if note else ""


def _on_reins(numbers: SessionNumbers) -> Cell:
    reactions = numbers.reactions
    if not reactions.count:
        return Cell("")
    return Cell(
        f"left {reactions.left.count}, right {reactions.right.count}",
        f"in {duration_text(reactions.left.time_ns)} on the left rein and "
        f"{duration_text(reactions.right.time_ns)} on the right",
    )


def _worst(numbers: SessionNumbers) -> Cell:
    worst = worst_of(numbers)
    if worst is None:
        return Cell("" if numbers.reactions.count else "none")
    return Cell(capital(reaction_words(numbers.sheet, worst.reaction)), settling_words(worst))


def _half(numbers: SessionNumbers) -> Cell:
    curve = numbers.recovery.curve
    if not curve.count:
        return Cell("")
    if curve.median_ns is None:
        return Cell(NOT_KNOWN, "too few were seen to settle")
    note = f"of {several(curve.count, 'reaction')}"
    if curve.cut_short:
        note += f"; {curve.cut_short} could not be watched until calm"
    return Cell(duration_text(curve.median_ns), note)


def _longest(numbers: SessionNumbers) -> Cell:
    longest = max(numbers.recovery.each, key=lambda one: one.time_ns, default=None)
    if longest is None:
        return Cell("")
    time = duration_text(longest.time_ns)
    return Cell(f"more than {time}" if longest.cut_short else time)


def _shown(numbers: SessionNumbers, stimulus: str) -> Cell:
    exposures = numbers.exposures.get(stimulus)
    if exposures is None:
        return Cell("not shown")
    return Cell(f"shown {several(len(exposures.each), 'time')}", "; ".join(_shown_notes(numbers, stimulus)))


def _shown_notes(numbers: SessionNumbers, stimulus: str) -> Iterator[str]:
    exposures = numbers.exposures[stimulus]
    quiet = exposures.without_reaction
    if quiet.of:
        yield f"{quiet.count} of {quiet.of} without a reaction"
    severities = [one.severity for one in exposures.each]
    if any(severities) and len(severities) <= 8:
        yield "severity " + ", ".join("?" if one is None else str(one) for one in severities)


_FIGURES: tuple[tuple[str, Callable[[SessionNumbers], Cell]], ...] = (
    ("Reactions", _count),
    ("On the two reins", _on_reins),
    ("The hardest", _worst),
    ("Half were calm after", _half),
    ("The longest took", _longest),
)
