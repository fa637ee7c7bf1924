"""The morning's list: for each horse its step, what is missing there, and what to look at first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from annotate.days import day_text
from annotate.programme.standing import Standing
from annotate.programme.work import Evidence, Record, Work, tenths


@dataclass(frozen=True, slots=True)
class Today:
    """One horse this morning.

    `days_since` the last session, None where there is none, negative where it is dated after today.
    `last_recovery` is the latest reaction that was seen, with how it settled.
    """

    standing: Standing
    last_day: date | None
    days_since: int | None
    settled: str
    last_recovery: Evidence | None
    last_is_tagged: bool

    @property
    def horse(self) -> str:
        """Its name."""
        return self.standing.horse

    @property
    def last_worked(self) -> str:
        """'today', 'yesterday', '4 days ago', 'never'."""
        if self.days_since is None or self.last_day is None:
            return "not yet"
        if self.days_since < 0:
            return f"dated {day_text(self.last_day)}, after today"
        return {0: "today", 1: "yesterday"}.get(self.days_since, f"{self.days_since} days ago")


def today(record: Record, standing: Standing, day: date) -> Today:
    """A horse on the morning of `day`."""
    works = record.works
    last = works[-1] if works else None
    last_day = last.session.day if last is not None else None
    settled, moment = _last_recovery(works)
    return Today(
        standing=standing,
        last_day=last_day,
        days_since=(day - last_day).days if last_day is not None else None,
        settled=settled,
        last_recovery=moment,
        last_is_tagged=last is not None and last.is_tagged,
    )


def by_step(listed: Sequence[Today]) -> list[tuple[str, tuple[str, ...]]]:
    """Who works on what: the title of each step that a horse is at, in their order, with the horses there."""
    places: dict[int, list[Today]] = {}
    for one in listed:
        at, steps = one.standing.at, one.standing.steps
        places.setdefault(len(steps) if at is None else steps.index(at), []).append(one)
    return [
        (at.step.title if (at := places[place][0].standing.at) is not None else "All criteria met",
         tuple(one.horse for one in places[place]))
        for place in sorted(places)
    ]


def _last_recovery(works: tuple[Work, ...]) -> tuple[str, Evidence | None]:
    for work in reversed(works):
        for reaction in reversed(work.reactions):
            if not work.seen.visible.holds(reaction.start_ns):
                continue
            calm_ns = work.calm_after_ns(reaction)
            words = "not seen calm" if calm_ns is None else f"{tenths(calm_ns)} s"
            return words, work.of_reaction(reaction)
    return "no reaction yet", None
