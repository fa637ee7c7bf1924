"""Passages chosen by rule, for a session in which nobody has marked any.

Each reaction of severity 2 and more with its recovery; the longest quiet lope on each rein (the longest quiet
trot where there is none); the first and the last exposure to each stimulus; the best turn in and the best
turn out. All in plain sight, with a little before and after.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.behaviours import (
    GAIT,
    LEFT_REIN,
    REACTION,
    REIN,
    RIGHT_REIN,
    STIMULUS,
    TURN_IN,
    TURN_OUT,
    Sheet,
    stimulus_of,
)
from annotate.clock import Span, Spans
from annotate.deliver.arranging import arranged
from annotate.deliver.rules import Rules
from annotate.deliver.wording import capital, reaction_words, time_words
from annotate.numbers.exposures import Exposure, exposures
from annotate.numbers.observed import Seen, look_at
from annotate.numbers.recovery import Ending, Recoveries, Recovery, recoveries
from annotate.passages import Passage
from annotate.sessions import Session
from annotate.tags import Tag

_NOT_CALM: dict[Ending, str] = {
    "reaction": "not calm before the next reaction",
    "out_of_sight": "not calm before it went out of sight",
    "gap": "not calm before the clip ended",
    "end": "not calm before the session ended",
}


def choose_passages(
    session: Session, tags: Sequence[Tag], sheet: Sheet, rules: Rules | None = None
) -> list[Passage]:
    """The passages, in order of time; those that overlap are one, with both captions.

    Empty where the tags give nothing to show. Raises `TagTrouble` where the tags contradict each other.
    """
    rules = rules if rules is not None else Rules()
    seen = look_at(session, tags, sheet)
    settled = recoveries(seen, sheet)
    found: list[Passage] = []
    if rules.reactions:
        found += _reactions(settled, sheet, rules)
    if rules.gaits:
        found += _longest_gaits(seen, settled, sheet)
    if rules.exposures:
        found += _first_and_last_exposures(seen, settled, sheet, rules)
    if rules.turns:
        found += _best_turns(seen, sheet, rules)
    return arranged(
        found,
        seen.observed,
        lead_in_ns=rules.lead_in_ns,
        lead_out_ns=rules.lead_out_ns,
        total_ns=rules.total_ns,
        visible=seen.visible,
    )


def _reactions(settled: Recoveries, sheet: Sheet, rules: Rules) -> list[Passage]:
    """The hardest first."""
    found: list[tuple[int, Passage]] = []
    for recovery in settled.each:
        reaction = recovery.reaction
        severity = reaction.severity or 0
        if severity >= rules.least_severity:
            shown_ns = recovery.time_ns
            if recovery.cut_short:
                shown_ns = min(shown_ns, rules.longest_ns)
            caption = f"{capital(reaction_words(sheet, reaction))}, {_recovery_words(recovery)}"
            found.append((severity, Passage(reaction.start_ns, reaction.start_ns + shown_ns, caption)))
    return [passage for _, passage in sorted(found, key=lambda one: -one[0])]


def _recovery_words(recovery: Recovery) -> str:
    if recovery.ending == "calm":
        return f"calm after {time_words(recovery.time_ns)}"
    return _NOT_CALM[recovery.ending]


def _longest_gaits(seen: Seen, settled: Recoveries, sheet: Sheet) -> Iterator[Passage]:
    """Quiet: not between a reaction and what ended its recovery."""
    upset = Spans(
        Span(one.reaction.start_ns, one.reaction.start_ns + max(1, one.time_ns)) for one in settled.each
    )
    for rein in (LEFT_REIN, RIGHT_REIN):
        for gait in ("lope", "trot"):
            bouts = list((seen.of(gait) & seen.of(rein)) - upset)
            if bouts:
                longest = max(bouts, key=lambda span: (span.length_ns, -span.start_ns))
                words = f"{sheet[gait].title} on the {sheet[rein].title}, {time_words(longest.length_ns)}"
                yield Passage(longest.start_ns, longest.end_ns, capital(words))
                break


def _first_and_last_exposures(
    seen: Seen, settled: Recoveries, sheet: Sheet, rules: Rules
) -> Iterator[Passage]:
    titles = {stimulus_of(one.name): one.title for one in sheet.of_group(STIMULUS)}
    for stimulus, shown in exposures(seen, sheet, settled).items():
        visible = [one for one in shown.each if seen.visible.holds(one.span.start_ns)]
        if not visible:
            continue
        several = len(visible) > 1
        yield _exposure("First exposure" if several else "Exposure", titles[stimulus], visible[0], rules)
        if several:
            yield _exposure("Last exposure", titles[stimulus], visible[-1], rules)


def _exposure(which: str, title: str, exposure: Exposure, rules: Rules) -> Passage:
    side = f" on the {exposure.side}" if exposure.side else ""
    if exposure.severity is None:
        outcome = ""
    elif exposure.severity == 0:
        outcome = ", no reaction"
    else:
        outcome = f", severity {exposure.severity}"
    span = exposure.span
    end_ns = min(span.end_ns, span.start_ns + rules.longest_ns)
    return Passage(span.start_ns, end_ns, f"{which} to the {title}{side}{outcome}")


def _best_turns(seen: Seen, sheet: Sheet, rules: Rules) -> Iterator[Passage]:
    """Best: no reaction after it, the gait kept through it, the rein really changed; of equals the first."""
    kinds = sheet.names(REACTION)
    upsets = [event.start_ns for event in seen.events if event.what in kinds]
    for what in (TURN_IN, TURN_OUT):
        turns = [e for e in seen.events if e.what == what and seen.visible.holds(e.start_ns)]
        if turns:
            turn = min(turns, key=lambda one: _faults(seen, one, upsets, rules))
            yield Passage(turn.start_ns, turn.start_ns, _turn_words(seen, sheet, turn))


def _faults(seen: Seen, turn: Tag, upsets: Sequence[int], rules: Rules) -> tuple[int, int]:
    at_ns = turn.start_ns
    reactions = sum(at_ns <= upset_ns < at_ns + rules.quiet_after_turn_ns for upset_ns in upsets)
    before, after = (seen.state_at(GAIT, ns) for ns in (at_ns - 1, at_ns))
    from_rein, to_rein = (seen.state_at(REIN, ns) for ns in (at_ns - 1, at_ns))
    gait_lost = before is None or before != after
    rein_unknown = from_rein is None or to_rein is None or from_rein == to_rein
    return reactions, gait_lost + rein_unknown


def _turn_words(seen: Seen, sheet: Sheet, turn: Tag) -> str:
    words = capital(sheet[turn.what].title)
    before = seen.state_at(REIN, turn.start_ns - 1)
    after = seen.state_at(REIN, turn.start_ns)
    gait = seen.state_at(GAIT, turn.start_ns)
    if gait is not None:
        words += f" at {sheet[gait].title}"
    if before is not None and after is not None and before != after:
        words += f", from the {sheet[before].title} to the {sheet[after].title}"
    return words
