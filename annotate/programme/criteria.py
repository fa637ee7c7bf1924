"""Whether a criterion is met on the tags made, what it rests on, and what is missing.

Three rules keep a verdict from turning the wrong way: seconds and times take the best session, exposures the
latest row, reactions the latest sessions.
"""

from __future__ import annotations

from annotate.behaviours import Sheet, stimulus_words
from annotate.programme.best_session import seconds, times
from annotate.programme.finding import Finding
from annotate.programme.latest_row import in_a_row
from annotate.programme.latest_sessions import reacting, reactions, tack_order
from annotate.programme.steps import MOVING, Criterion, InARow, Reactions, Saddling, Seconds, TackOrder, Times
from annotate.programme.work import Record


def find(criterion: Criterion, step: str, record: Record, sheet: Sheet, saddling: Saddling) -> Finding:
    """Looks a criterion of a step up in a horse's record."""
    unknown = _not_on_sheet(criterion, sheet)
    if unknown:
        missing = f"'{unknown}' is not on the sheet of behaviours: correct the programme or the sheet"
        return Finding(criterion, "not_seen", missing, ())
    if isinstance(criterion, Seconds):
        works = [work for work in record.works if not criterion.in_this_step or work.step == step]
        return seconds(criterion, works, sheet)
    if isinstance(criterion, Times):
        return times(criterion, record.works, sheet)
    if isinstance(criterion, InARow):
        return in_a_row(criterion, record.works)
    if isinstance(criterion, Reactions):
        return reactions(criterion, reacting(criterion, step, record), sheet)
    return tack_order(criterion, record.works, saddling)


def _not_on_sheet(criterion: Criterion, sheet: Sheet) -> str:
    if isinstance(criterion, InARow):
        return "" if criterion.of in stimulus_words(sheet) else criterion.of
    names = [] if isinstance(criterion, Reactions | TackOrder) else [criterion.of]
    if isinstance(criterion, Seconds | Reactions) and criterion.tack:
        names.append(criterion.tack)
    return next((name for name in names if name != MOVING and name not in sheet), "")
