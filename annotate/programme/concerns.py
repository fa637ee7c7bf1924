"""What deserves a look before more work, from the latest tagged sessions, by the trainer's own limits: those of
the programme, and for the amount of work those of the numbers.

A concern says what the tags show and where. It is no diagnosis; where pain may be behind it, it says to have
the horse looked at before more training.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from annotate.behaviours import LEFT_REIN, REACTION, REIN, RIGHT_REIN
from annotate.clock import NS_PER_S
from annotate.numbers.exposures import Exposures
from annotate.numbers.habituation import history, stimuli
from annotate.numbers.limits import limit_title
from annotate.numbers.rates import Rate, RateRatio
from annotate.numbers.sources import Traced
from annotate.numbers.sources_of_work import sources_of_limit
from annotate.numbers.words_of_ground import amount_text
from annotate.programme.latest_row import marks_text
from annotate.programme.steps import Limits, Programme
from annotate.programme.tack import BACK_CINCH, FRONT_CINCH, breaks, moment_text
from annotate.programme.work import Evidence, Record, Work, day_text, tenths
from annotate.tags import Tag

GIRTHS = ("surcingle", FRONT_CINCH, BACK_CINCH)
GIRTH_SIGNS = ("ears_pinned", "tail_wring", "kick_out")

# Our own choice: in a row without any trend one in twenty rises as steeply.
RISES_BY_CHANCE = 0.05

# Our own choice: what a horse did thirty exposures ago is no news this morning.
LATEST_EXPOSURES = 30


@dataclass(frozen=True, slots=True)
class Concern:
    """One thing to look at: its kind, a title, what was seen, where, and whether pain may be behind it."""

    key: str
    title: str
    words: str
    evidence: tuple[Evidence, ...]
    pain: bool


def concerns(record: Record, programme: Programme, not_met: Sequence[str]) -> tuple[Concern, ...]:
    """Every open concern, those with possible pain first. `not_met`: keys of steps not met yet."""
    limits = programme.limits
    latest = record.tagged()[-limits.sessions_back :]
    found = [
        *_girth(latest, limits),
        *_one_sided(latest, limits),
        *_rising(record, latest),
        *_tack(record, programme, latest),
        *_too_much_work(latest),
        *_one_rein(latest, limits),
        *_ahead(record, programme, not_met),
    ]
    return tuple(sorted(found, key=lambda one: not one.pain))


def _girth(latest: Sequence[Work], limits: Limits) -> Iterable[Concern]:
    moments = [
        _of(work, event)
        for work in latest
        for event in work.seen.events
        if _is_girth_trouble(work, event, limits)
    ]
    if moments:
        words = f"{_several(len(moments), 'moment')} at the girth or soon after it was fastened"
        yield Concern("girth", "Girth reaction", words, tuple(moments), pain=True)


def _is_girth_trouble(work: Work, event: Tag, limits: Limits) -> bool:
    is_reaction = event.what in work.sheet.names(REACTION)
    hard = is_reaction and (event.severity is None or event.severity >= limits.girth_severity)
    if not (hard or event.what in GIRTH_SIGNS):
        return False
    if is_reaction and event.stimulus in GIRTHS:
        return True
    fastened = [start_ns for girth in GIRTHS for start_ns, _ in work.worn(girth).edges if start_ns > 0]
    return any(0 <= event.start_ns - start_ns <= limits.girth_s * NS_PER_S for start_ns in fastened)


def _one_sided(latest: Sequence[Work], limits: Limits) -> Iterable[Concern]:
    left, right = (
        Rate(
            sum(_rate(work, rein).count for work in latest),
            sum(_rate(work, rein).time_ns for work in latest),
        )
        for rein in (LEFT_REIN, RIGHT_REIN)
    )
    for name, rein, here, there in (("left", LEFT_REIN, left, right), ("right", RIGHT_REIN, right, left)):
        ratio = RateRatio(here, there)
        if here.count < limits.one_side_reactions or not (here.time_ns and there.time_ns):
            continue
        # Multiplied out, so that no reaction at all on the other rein is no division by nothing.
        if here.count * there.time_ns < limits.one_side_times * there.count * here.time_ns:
            continue
        chance = " Chance alone can do that." if ratio.p is None or ratio.p >= RISES_BY_CHANCE else ""
        words = (
            f"{here.count} reactions in {_minutes(here)} on the {name} rein, "
            f"{there.count} in {_minutes(there)} on the other.{chance}"
        )
        yield Concern("one_sided", "One-sided trouble", words, _reactions_on(latest, rein), pain=True)


def _rate(work: Work, rein: str) -> Rate:
    return work.numbers.reactions.left if rein == LEFT_REIN else work.numbers.reactions.right


def _reactions_on(latest: Sequence[Work], rein: str) -> tuple[Evidence, ...]:
    return tuple(
        work.of_reaction(reaction)
        for work in latest
        for reaction in work.reactions
        if work.seen.state_at(REIN, reaction.start_ns) == rein
    )


def _rising(record: Record, latest: Sequence[Work]) -> Iterable[Concern]:
    numbers = [work.numbers for work in record.works]
    by_id = {work.session.id: work for work in record.works}
    # A step up in grade, or another place or colour, is no row that rises: each is a row of its own.
    for series in (one for name in stimuli(numbers) for one in history(numbers, name).series):
        recent = series.each[-LATEST_EXPOSURES:]
        row = Exposures(tuple(showing.exposure for showing in recent)).severity_trend
        if not (row.is_enough and row.s > 0 and row.p_rising <= RISES_BY_CHANCE):
            continue
        title = f"{series.stimulus.replace('_', ' ')}{marks_text(recent[0].exposure)}"
        moments = tuple(
            by_id[one.session_id].of_reaction(reaction)
            for one in recent
            for reaction in one.exposure.reactions
        )
        words = f"{title.capitalize()}: harder from exposure to exposure, over {row.count}"
        yield Concern("rising", "Reactions rising", words, moments, pain=True)
    rates = [work.numbers.reactions.seen for work in latest]
    per_min = [rate.per_min for rate in rates if rate.per_min is not None]
    grew = all(later > earlier for earlier, later in pairwise(per_min))
    if len(per_min) >= 3 and grew:
        words = "Reactions a minute: " + ", ".join(f"{float(rate):.1f}" for rate in per_min)
        moments = tuple(latest[-1].of_reaction(reaction) for reaction in latest[-1].reactions)
        yield Concern("rising", "Reactions rising", words, moments, pain=True)


def _tack(record: Record, programme: Programme, latest: Sequence[Work]) -> Iterable[Concern]:
    moments = [
        moment
        for place, work in enumerate(record.works)
        if work in latest
        for moment in breaks(record.works, place, programme.saddling)
    ]
    if moments:
        words = "; ".join(moment_text(moment) for moment in moments)
        yield Concern("tack_order", "Order of the tack", words, tuple(moments), pain=False)


def _too_much_work(latest: Sequence[Work]) -> Iterable[Concern]:
    for work in latest:
        titles = {gait: work.sheet[gait].title for gait in work.numbers.gaits}
        traced = Traced(work.session, work.tags, work.sheet, work.numbers, work.seen)
        for over in work.numbers.load.over:
            name = limit_title(over.name, titles)
            figure, limit = (amount_text(over, amount) for amount in (over.figure, over.limit))
            words = f"{figure} of {name} on {day_text(work)}; the limit is {limit}"
            moments = tuple(
                work.evidence(one.start_ns, one.end_ns, one.words)
                for one in sorted(sources_of_limit(traced, over), key=lambda source: source.start_ns)
            )
            yield Concern("limit", f"{name.capitalize()} over the limit", words, moments, pain=False)


def _one_rein(latest: Sequence[Work], limits: Limits) -> Iterable[Concern]:
    for work in latest[-1:]:
        rein = work.numbers.rein
        for name, here_ns, other, there_ns in (
            ("left", rein.left_ns, "right", rein.right_ns),
            ("right", rein.right_ns, "left", rein.left_ns),
        ):
            if here_ns >= limits.one_rein_s * NS_PER_S and there_ns < limits.other_rein_s * NS_PER_S:
                words = f"{tenths(there_ns)} s on the {other} rein, {tenths(here_ns)} on the {name}"
                spans = work.going("moving", name, "")
                moments = tuple(work.evidence(span.start_ns, span.end_ns, f"{name} rein") for span in spans)
                yield Concern("one_rein", f"No work on the {other} rein", words, moments, pain=False)


def _ahead(record: Record, programme: Programme, not_met: Sequence[str]) -> Iterable[Concern]:
    for work in record.works[-1:]:
        place = programme.place(work.step)
        open_before = [step.title for step in programme.steps[: place or 0] if place and step.key in not_met]
        step = programme.step(work.step)
        if step is not None and open_before:
            words = f"Worked on {step.title} with criteria open in: {', '.join(open_before)}"
            moment = work.evidence(0, None, f"recorded as {step.title}")
            yield Concern("ahead", "Ahead of the programme", words, (moment,), pain=False)


def _of(work: Work, event: Tag) -> Evidence:
    if event.what in work.sheet.names(REACTION):
        return work.of_reaction(event)
    return work.evidence(event.start_ns, None, work.sheet[event.what].title)


def _minutes(rate: Rate) -> str:
    return f"{tenths(rate.time_ns)} s" if rate.time_ns < 120 * NS_PER_S else f"{float(rate.minutes):.1f} min"


def _several(count: int, what: str) -> str:
    return f"1 {what}" if count == 1 else f"{count} {what}s"
