"""The numbers of a session in plain lines, for the terminal and the window alike.

Each line is a label, a figure and a note; its key is the figure's path in the JSON.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.numbers.budget import GaitTime
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.reasons import reasons
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import (
    ENOUGH_EVENTS,
    NOT_KNOWN,
    Line,
    chance_note,
    duration_text,
    joined,
    listed,
    median_note,
    percent_text,
    rate_note,
    rate_text,
    ratio_line,
    several,
)
from annotate.numbers.words_of_ground import doubt_lines, ground_lines, lead_lines, load_lines
from annotate.numbers.words_of_work import exposure_lines, first_and_last_lines, lap_lines, response_lines


def in_words(numbers: SessionNumbers, unit: LengthUnit = METRES) -> tuple[Line, ...]:
    """Every line of a session, in the order in which a trainer asks: how much, how even, how it reacted."""
    why = reasons(numbers)
    return (
        *_time(numbers),
        *_gaits(numbers),
        *_reins(numbers, why),
        *lead_lines(numbers),
        *_reactions(numbers, why),
        *_recovery(numbers, why),
        *exposure_lines(numbers),
        *response_lines(numbers, why),
        *lap_lines(numbers),
        *ground_lines(numbers, unit),
        *load_lines(numbers, unit),
        *doubt_lines(numbers, unit),
        *first_and_last_lines(numbers, why),
    )


def as_table(lines: Sequence[Line]) -> list[str]:
    """The lines in columns, for a terminal."""
    labels = max((len(line.label) for line in lines), default=0)
    figures = max((len(line.figure) for line in lines), default=0)
    return [
        f"{line.label:<{labels}}  {line.figure:<{figures}}  {line.note}".rstrip() for line in lines
    ]


def _time(numbers: SessionNumbers) -> Iterator[Line]:
    gaps = f"{duration_text(numbers.gaps_ns)} more lie in gaps" if numbers.gaps_ns else ""
    yield Line("seconds.length", "Observed", duration_text(numbers.length_ns), gaps)
    hidden = numbers.out_of_sight_ns
    note = f"{duration_text(hidden)} out of sight are in no other figure" if hidden else ""
    yield Line("seconds.visible", "In sight", duration_text(numbers.visible_ns), note)
    yield Line("seconds.moving", "Moving", duration_text(numbers.moving_ns))
    if numbers.untagged_ns:
        figure = duration_text(numbers.untagged_ns)
        yield Line(
            "seconds.untagged", "No gait tagged", figure, "the gaits had up to this much more"
        )
    if numbers.not_on_sheet:
        yield Line(
            "not_on_sheet",
            "Not counted",
            listed(numbers.not_on_sheet),
            "not on the sheet of behaviours",
        )


def _gaits(numbers: SessionNumbers) -> Iterator[Line]:
    for name, gait in numbers.gaits.items():
        if gait.share and gait.mean_bout_ns is not None:
            figure = f"{duration_text(gait.time_ns)}, {percent_text(gait.share)}"
            note = joined(_on_reins(gait), _bouts(gait, gait.mean_bout_ns))
            yield Line(f"gait.{name}", numbers.sheet[name].title.capitalize(), figure, note)
    if numbers.transitions.count:
        named = {
            f"{numbers.sheet[one].title} to {numbers.sheet[other].title}": count
            for (one, other), count in numbers.transitions.by_pair.items()
        }
        count = str(numbers.transitions.count)
        changes = numbers.transitions
        parts = ((changes.up, "up"), (changes.down, "down"), (changes.left, "on the left rein"))
        ways = [f"{many} {words}" for many, words in (*parts, (changes.right, "on the right")) if many]
        yield Line("transitions.count", "Changes of gait", count, joined(", ".join(ways), listed(named)))


def _on_reins(gait: GaitTime) -> str:
    if gait.balance is None:
        return ""
    parts = (("left", gait.left), ("right", gait.right))
    return ", ".join(
        f"{side} {duration_text(on.time_ns)}"
        + (f" in {several(on.bouts, 'bout')}" if _on_both_reins(gait) else "")
        for side, on in parts
    )


def _on_both_reins(gait: GaitTime) -> bool:
    return bool(gait.left.bouts and gait.right.bouts)


def _bouts(gait: GaitTime, mean_bout_ns: Fraction) -> str:
    cut = f", {gait.cut_bouts} cut as it went out of view" if gait.cut_bouts else ""
    count = several(gait.bouts, "bout") + (" in all" if _on_both_reins(gait) else "")
    if gait.bouts == 1:
        return f"{count}{cut}"
    mean, longest = duration_text(mean_bout_ns), duration_text(gait.longest_bout_ns)
    return f"{count}, {mean} on average, the longest {longest}{cut}"


def _reins(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    rein = numbers.rein
    if rein.balance is None:
        yield Line("rein.balance", "Left and right", NOT_KNOWN, why["rein.balance"])
    else:
        left = percent_text((1 + rein.balance) / 2)
        right = percent_text((1 - rein.balance) / 2)
        times = f"left {duration_text(rein.left_ns)}, right {duration_text(rein.right_ns)} moving"
        balance = f"balance {float(rein.balance):+.3f}, where 0 is even, +1 all left and -1 all right"
        yield Line(
            "rein.balance", "Left and right", f"{left} left, {right} right", joined(times, balance)
        )
    changes = numbers.direction_changes
    parts = (
        (changes.turn_in, "turned in"),
        (changes.turn_out, "turned out"),
        (changes.unseen, "out of sight"),
        (changes.unmarked, "with no turn tagged"),
    )
    note = ", ".join(f"{count} {how}" for count, how in parts if count)
    yield Line("direction_changes.total", "Changes of direction", str(changes.total), note)


def _reactions(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    reactions = numbers.reactions
    hidden = reactions.out_of_sight
    yield Line(
        "reactions.per_min",
        "Reactions",
        rate_text(reactions.seen),
        joined(
            rate_note(reactions.seen, at_random=reactions.at_random),
            f"{hidden} more out of sight, in no rate" if hidden else "",
        ),
    )
    if not reactions.count:
        return
    for side, rate in (("left", reactions.left), ("right", reactions.right)):
        key = f"reactions.{side}.per_min"
        note = why.get(key) or rate_note(rate, at_random=reactions.at_random)
        yield Line(key, f"Reactions, {side} rein", rate_text(rate), note)
    key = "reactions.left_right.ratio"
    yield ratio_line(
        key,
        "Reactions, left against right",
        reactions.left_right,
        why=why.get(key, ""),
        at_random=reactions.at_random,
    )
    yield Line("reactions.by_kind", "Kinds", listed(_titled(numbers, reactions.by_kind)))
    if set(reactions.by_stimulus) != {"none"}:
        counts = {
            "nothing tagged" if name == "none" else name: count
            for name, count in reactions.by_stimulus.items()
        }
        yield Line("reactions.by_stimulus", "Set off by", listed(counts))
    if set(reactions.by_severity) != {"not_given"}:
        figure = ", ".join(
            f"not given: {count}" if severity == "not_given" else f"severity {severity}: {count}"
            for severity, count in reactions.by_severity.items()
        )
        yield Line("reactions.by_severity", "Severity", figure, "1 is mild, 4 the worst")
    yield from _reaction_parts(numbers)


def _reaction_parts(numbers: SessionNumbers) -> Iterator[Line]:
    """Rates in each part of the session that had a reaction, where there is more than one part."""
    reactions, sheet = numbers.reactions, numbers.sheet
    sortings = (
        ("by_gait", reactions.by_gait, "Reactions at {}"),
        ("by_tack", reactions.by_tack, "Reactions with {} on"),
        ("rates.by_stimulus", reactions.while_shown, "While {} was shown"),
        ("rates.by_severity", reactions.severities, "Reactions of severity {}"),
        ("rates.by_side", reactions.sides, "Reactions on its {} side"),
    )
    for sorting, rates, words in sortings:
        if sorting.startswith("rates.by_s") and sorting != "rates.by_stimulus" and len(rates) < 2:
            continue
        for name, rate in rates.items():
            if rate.count:
                title = sheet[name].title if name in sheet else _said(name)
                no_side = (sorting, name) == ("rates.by_side", "none")
                yield Line(
                    f"reactions.{sorting}.{name}.per_min",
                    "Reactions, side not given" if no_side else words.format(title),
                    rate_text(rate),
                    rate_note(rate, at_random=reactions.at_random),
                )


def _titled(numbers: SessionNumbers, counts: Mapping[str, int]) -> dict[str, int]:
    return {numbers.sheet[name].title: count for name, count in counts.items()}


def _recovery(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    curve = numbers.recovery.curve
    if not curve.count:
        return
    note = several(curve.count, "recovery", "recoveries")
    if curve.cut_short:
        note += f", {curve.cut_short} cut short and counted as longer than was seen"
    key, label = "recovery.median_s", "Half had settled after"
    if curve.median_ns is None:
        yield Line(key, label, NOT_KNOWN, joined(why[key], note))
    else:
        yield Line(key, label, duration_text(curve.median_ns), joined(median_note(curve), note))
    yield Line(
        "recovery.restricted_mean_s",
        "Settled on average in",
        duration_text(curve.restricted_mean_ns(curve.longest_ns)),
        f"each counted up to {duration_text(curve.longest_ns)}, the longest that was watched",
    )
    yield from _recovery_parts(numbers, why)
    yield from _recovery_compared(numbers)


def _recovery_parts(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    """The same by rein, by what set it off and by severity, where there is more than one."""
    recovery = numbers.recovery
    sortings = (
        ("by_rein", recovery.by_rein, "on the {}"),
        ("by_stimulus", recovery.by_stimulus, "after {}"),
        ("by_severity", recovery.by_severity, "after severity {}"),
    )
    for sorting, parts, words in sortings:
        for name, part in parts.items() if len(parts) > 1 else ():
            key, curve = f"recovery.{sorting}.{name}.median_s", part.curve
            no_rein = (sorting, name) == ("by_rein", "none")
            label = f"Half settled {'with no rein tagged' if no_rein else words.format(_said(name))}"
            if curve.median_ns is None:
                yield Line(key, label, NOT_KNOWN, why[key])
            else:
                note = joined(f"of {curve.count}", median_note(curve))
                yield Line(key, label, duration_text(curve.median_ns), note)


def _recovery_compared(numbers: SessionNumbers) -> Iterator[Line]:
    """Whether it settled sooner on one rein; nothing where there are too few on either."""
    recovery, compared = numbers.recovery, numbers.recovery.left_right
    if compared.p is None or min(recovery.on(rein).curve.count for rein in (LEFT_REIN, RIGHT_REIN)) < ENOUGH_EVENTS:
        return
    sooner = "left" if compared.observed > compared.expected else "right"
    figure = f"sooner on the {sooner}" if compared.chi2 else "alike on both"
    note = f"{chance_note(compared.p)}. This describes and proves nothing"
    yield Line("recovery.left_right.p", "Settled, left against right", figure, note)


def _said(name: str) -> str:
    return {"none": "nothing tagged", "not_given": "not given"}.get(name, name.replace("_", " "))
