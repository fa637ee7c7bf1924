"""How far each number of a session moved when its footage was tagged again.

Both looks are counted over the footage that was looked at twice, and nothing else. What adds up over a
session, seconds and counts, is carried over to its whole length in proportion. That is more than chance
errors would make and right for a habit such as always pressing late. A difference between sessions that is
no larger than this proves nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from annotate.agreement.looks import TwoLooks
from annotate.clock import NS_PER_S, Spans
from annotate.numbers.as_json import to_json
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.numbers.wording import Line, duration_text, joined
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

# Figures that do not grow with the time watched; all others do.
_DO_NOT_ADD_UP = frozenset(
    ["per_min", "share", "balance", "mean_bout_s", "longest_bout_s", "median_s", "ratio"]
)
# Neither are figures that cutting the footage makes: how many bouts it cuts, its first and last minutes.
_NOT_FIGURES = frozenset(
    [
        *("session", "reasons", "each", "survival", "p", "chi2", "minutes", "number", "of"),
        *("cut_bouts", "ended_with_session", "began_unseen", "first_and_last", "gaps"),
    ]
)
# Counts that stand only where there is something to count.
_COUNTED_WHERE_SEEN = ("reactions.by_kind.", "reactions.by_stimulus.", "reactions.by_severity.")
_NOT_FIGURES_ENDING = ("_95", "_trend", "quiet_in_a_row")


@dataclass(frozen=True, slots=True)
class Doubt:
    """One figure, by its path in the numbers' JSON, in both looks over the footage looked at twice.

    `scale` is the session's length over that of the footage for what adds up, else 1. `looks` is of how many
    second looks this one moved the figure furthest. `who` looked again, or one of those who did; empty where
    nobody was named.
    """

    path: str
    first: float
    second: float
    scale: float
    looks: int = 1
    who: str = ""

    @property
    def difference(self) -> float:
        """The second look's figure less the first's, over the footage looked at twice."""
        return self.second - self.first

    @property
    def over_session(self) -> float:
        """The size of the difference to be reckoned with over the whole session."""
        return abs(self.difference) * self.scale

    @property
    def words(self) -> str:
        """The note beside the number."""
        several = self.looks > 1
        if several:
            looks = f"{'the' if self.who else 'your own'} {self.looks} second looks"
        else:
            looks = f"the second look by {self.who}" if self.who else "your own second look"
        if not self.difference:
            return f"{looks} gave the same"
        return f"{looks} differed by {'up to ' * several}{_amount(self.path, abs(self.difference))}"


def doubts(looks: TwoLooks, who: str = "") -> dict[str, Doubt]:
    """The doubt of every figure that both looks define, by its path. `who` made the second one, if known."""
    first, second = (
        _figures(to_json(_numbers(looks, tags))) for tags in (looks.first_tags, looks.second_tags)
    )
    for one, other in ((first, second), (second, first)):
        one |= {path: 0.0 for path in other if path.startswith(_COUNTED_WHERE_SEEN) and path not in one}
    scale = looks.session.observed.length_ns / looks.footage.length_ns
    return {
        path: Doubt(path, first[path], second[path], scale if _adds_up(path) else 1.0, who=who)
        for path in first
        if path in second
    }


def largest(found: Sequence[Mapping[str, Doubt]]) -> dict[str, Doubt]:
    """Of several second looks at a session the doubts that matter: for each figure the one that moved most."""
    every: dict[str, list[Doubt]] = {}
    for one in found:
        for path, doubt in one.items():
            every.setdefault(path, []).append(doubt)
    return {path: _furthest(doubts) for path, doubts in every.items()}


def with_doubts(lines: Sequence[Line], found: Mapping[str, Doubt]) -> tuple[Line, ...]:
    """The lines of a session, each number with what the second look says about it."""
    return tuple(
        replace(line, note=joined(line.note, doubt.words)) if (doubt := _doubt_of(line, found)) else line
        for line in lines
    )


def proves_nothing(
    path: str, one: float, other: float, of_one: Mapping[str, Doubt], of_other: Mapping[str, Doubt]
) -> bool | None:
    """Whether two sessions differ in a figure by no more than a second look at either moved it.

    None where neither session has a second look that tells.
    """
    known = [found[path].over_session for found in (of_one, of_other) if path in found]
    return abs(one - other) <= max(known) if known else None


def _furthest(doubts: Sequence[Doubt]) -> Doubt:
    named = next((doubt.who for doubt in doubts if doubt.who), "")
    return replace(max(doubts, key=lambda doubt: doubt.over_session), looks=len(doubts), who=named)


def _numbers(looks: TwoLooks, tags: Sequence[Tag]) -> SessionNumbers:
    footage = looks.footage
    clips = tuple(
        PlacedClip(place, start_ns, Fraction(1, NS_PER_S), 0, end_ns - start_ns)
        for place, (start_ns, end_ns) in enumerate(footage.edges, 1)
    )
    session = Session(
        looks.session.id, looks.session.horse, looks.session.day, looks.session.number, clips
    )
    inside = [tag for tag in tags if _concerns(footage, tag)]
    return session_numbers(session, inside, looks.sheet)


def _concerns(footage: Spans, tag: Tag) -> bool:
    return footage.holds(tag.start_ns) if tag.end_ns is None else bool(footage & Spans([tag.span]))


def _figures(found: Mapping[str, Any], path: str = "") -> dict[str, float]:
    figures: dict[str, float] = {}
    for key, value in found.items():
        if key in _NOT_FIGURES or key.endswith(_NOT_FIGURES_ENDING):
            continue
        here = f"{path}.{key}" if path else key
        if isinstance(value, Mapping):
            figures |= _figures(value, here)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            figures[here] = float(value)
    return figures


def _adds_up(path: str) -> bool:
    return path.rpartition(".")[2] not in _DO_NOT_ADD_UP


def _doubt_of(line: Line, found: Mapping[str, Doubt]) -> Doubt | None:
    return found.get(line.key) or found.get(f"{line.key}.seconds")


def _amount(path: str, size: float) -> str:
    last = path.rpartition(".")[2]
    if last.endswith("_s") or last == "seconds" or path.startswith("seconds."):
        return duration_text(Fraction(round(size * NS_PER_S)))
    if last == "per_min":
        return f"{size:.2f} a minute"
    if last == "share":
        return f"{size * 100:.1f} %"
    return f"{size:.0f}" if size == round(size) else f"{size:.3f}"
