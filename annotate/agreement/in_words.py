"""The agreement of two looks in plain lines, for the terminal and the window alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from annotate.agreement.bootstrap import Interval
from annotate.agreement.comparing import Agreement
from annotate.agreement.differences import Difference
from annotate.agreement.events import EventAgreement
from annotate.agreement.lag_on_tags import lag_help
from annotate.agreement.several import Fleiss
from annotate.agreement.states import TOLERANCES_NS, StateAgreement
from annotate.behaviours import SIGHT
from annotate.clock import NS_PER_S, clock_text
from annotate.numbers.wording import NOT_KNOWN, Line, duration_text, joined, percent_text, several

_LONGEST_TOLERANCE_NS = TOLERANCES_NS[-1]


def in_words(agreement: Agreement, of_several: Mapping[str, Fleiss] | None = None) -> tuple[Line, ...]:
    """Every line: what was compared, what lasts, the instants, the severity."""
    return (
        *_footage(agreement),
        *_states(agreement),
        *_events(agreement),
        *_severity(agreement),
        *_key_lag(agreement),
        *_several(agreement, of_several or {}),
    )


def difference_lines(found: Sequence[Difference]) -> list[tuple[str, str, str]]:
    """Each difference as time, what the first look says, what the second says."""
    return [
        (
            clock_text(one.at_ns),
            one.first_says,
            joined(
                one.second_says,
                f"for {duration_text(one.span.length_ns)}" if one.span is not None else "",
                "the same change, marked earlier or later" if one.kind == "edge" else "",
            ),
        )
        for one in found
    ]


def _footage(agreement: Agreement) -> Iterator[Line]:
    looks = agreement.looks
    observed, footage = looks.session.observed.length_ns, looks.footage.length_ns
    note = f"{percent_text(Fraction(footage, observed))} of what was observed" if footage < observed else ""
    note = joined(note, several(len(looks.passages), "passage"))
    yield Line("footage.seconds", "Looked at twice", duration_text(footage), note)


def _states(agreement: Agreement) -> Iterator[Line]:
    sheet = agreement.looks.sheet
    for group, agreed in agreement.states.items():
        title = "Out of sight" if group == SIGHT else sheet.group(group).title
        yield _state_line(f"states.{group}.kappa", title, agreed)
        for name, part in agreed.parts.items():
            yield _state_line(f"states.{group}.behaviours.{name}.kappa", f"  {sheet[name].title}", part)
        if agreed.onsets is not None and agreed.onsets.agreement is not None:
            key, label = f"states.{group}.onsets.agreement", f"  {title}, when each began"
            yield _event_line(key, label, agreed.onsets)
    for group, singles in agreement.single.items():
        for name, part in singles.items():
            label = f"{sheet.group(group).title}: {sheet[name].title}"
            yield _state_line(f"states.{group}.behaviours.{name}.kappa", label, part)


def _state_line(key: str, label: str, agreed: StateAgreement) -> Line:
    table = agreed.table
    if table.kappa is None or table.po is None:
        return Line(key, label, NOT_KNOWN, table.why_no_kappa)
    within = agreed.units.agree_within(_LONGEST_TOLERANCE_NS)
    same = f"the same in {percent_text(table.po)} of the time"
    if within > table.agreed:
        more = percent_text(Fraction(within, table.total))
        same += f", in {more} within {_LONGEST_TOLERANCE_NS // NS_PER_S} s"
    return Line(key, label, f"kappa {_two(table.kappa)}", joined(same, _bounds(agreed.kappa_95)))


def _events(agreement: Agreement) -> Iterator[Line]:
    sheet = agreement.looks.sheet
    if agreement.events.agreement is None:
        return
    yield _event_line("events.agreement", "All instants", agreement.events)
    for name, agreed in agreement.by_behaviour.items():
        yield _event_line(f"events.behaviours.{name}.agreement", f"  {sheet[name].title}", agreed)


def _event_line(key: str, label: str, agreed: EventAgreement) -> Line:
    figure = NOT_KNOWN if agreed.agreement is None else f"agreement {_two(agreed.agreement)}"
    counts = f"{agreed.matched} in both"
    if agreed.only_first:
        counts += f", {len(agreed.only_first)} only in the first look"
    if agreed.only_second:
        counts += f", {len(agreed.only_second)} only in the second"
    return Line(key, label, figure, joined(counts, _lateness(agreed), _bounds(agreed.agreement_95)))


def _lateness(agreed: EventAgreement) -> str:
    if agreed.mean_late_ns is None:
        return ""
    late_s = float(agreed.mean_late_ns) / NS_PER_S
    words = f"the second {abs(late_s):.2f} s {'later' if late_s > 0 else 'earlier'} on average"
    if not late_s:
        words = "at the same time on average"
    if agreed.spread_late_ns is not None:
        words += f", spread {agreed.spread_late_ns / NS_PER_S:.2f} s"
    return words


def _severity(agreement: Agreement) -> Iterator[Line]:
    agreed = agreement.severity
    pairs = agreed.table.total
    if not pairs:
        return
    key, label = "severity.linear", "Severity"
    if agreed.linear is None or agreed.quadratic is None:
        yield Line(key, label, NOT_KNOWN, agreed.why_not)
        return
    same = f"the same in {agreed.table.agreed} of {pairs}"
    figure = f"kappa {_two(agreed.linear)} by steps, {_two(agreed.quadratic)} by squared steps"
    yield Line(key, label, figure, joined(same, _bounds(agreed.linear_95)))


def _key_lag(agreement: Agreement) -> Iterator[Line]:
    found = lag_help(agreement.looks)
    if found is not None:
        apart, with_lag = (float(ns) / NS_PER_S for ns in (found.apart_ns, found.apart_with_lag_ns))
        verdict = "it helped" if found.helped else "it did not help"
        note = f"with the lag put back it would be {with_lag:.2f} s: {verdict}"
        figure = f"{apart:.2f} s apart in {several(found.pairs, 'tag')}"
        yield Line("key_lag.apart_s", "Key lag taken out", figure, note)


def _several(agreement: Agreement, of_several: Mapping[str, Fleiss]) -> Iterator[Line]:
    for group, one in of_several.items():
        label = f"{agreement.looks.sheet.group(group).title}, all {one.observers} looks"
        figure = NOT_KNOWN if one.kappa is None else f"kappa {_two(one.kappa)}"
        yield Line(f"several.{group}.kappa", label, figure, one.why_no_kappa)


def _bounds(interval: Interval) -> str:
    if interval.ends is None:
        return ""
    low, high = interval.ends
    return f"could be as low as {_two(low)} or as high as {_two(high)}"


def _two(value: Fraction | float) -> str:
    """With two decimals, and no minus before nothing."""
    return f"{float(value):.2f}".replace("-0.00", "0.00")
