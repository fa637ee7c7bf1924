"""The agreement of two looks in plain lines, for the terminal and the window alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from annotate.agreement.bootstrap import FEWEST, Interval
from annotate.agreement.comparing import Agreement
from annotate.agreement.crosstab import Crosstab
from annotate.agreement.differences import Difference
from annotate.agreement.events import EventAgreement
from annotate.agreement.lag_on_tags import lag_help
from annotate.agreement.looks import NO, UNTAGGED, YES
from annotate.agreement.several import AllAgree
from annotate.agreement.states import TOLERANCES_NS, StateAgreement
from annotate.behaviours import SIGHT, Sheet
from annotate.clock import NS_PER_S, clock_text
from annotate.numbers.wording import Line, duration_text, joined, percent_text, several

NOT_DEFINED = "not defined"
KAPPA_IN_SHORT = (
    "Kappa: 1 is always the same, 0 no more alike than by chance. It can be low although the share is high."
)
WHAT_KAPPA_MEANS = (
    "Kappa is how much more alike two looks are than chance would make them: 1 is always the same, 0 is no "
    "more than chance, below 0 is less.",
    "A high share agreed can go with a low kappa: where a horse walks nearly all the time, two people who "
    "only guessed would often agree, too. Read both.",
    "Not defined: both say one and the same thing throughout, or there was nothing to compare.",
)

_LONGEST_TOLERANCE_NS = TOLERANCES_NS[-1]

# Our own choices: from that share on, a kappa below that surprises whoever reads it.
_HIGH_SHARE, _LOW_KAPPA = Fraction(4, 5), Fraction(3, 5)


def in_words(
    agreement: Agreement, of_several: Mapping[str, AllAgree] | None = None, why_not_several: str = ""
) -> tuple[Line, ...]:
    """Every line: what was compared, what lasts, the instants, the severity; the agreement of all looks.

    `why_not_several`: why more looks than two have no agreement in common.
    """
    return (
        *_footage(agreement),
        *_states(agreement, of_several or {}, why_not_several),
        *_events(agreement),
        *_severity(agreement),
        *_key_lag(agreement),
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
    count = len(looks.passages)
    few = f"{FEWEST} are needed to say how far off the figures may be" if count < FEWEST else ""
    note = joined(note, several(count, "passage"), few)
    yield Line("footage.seconds", "Looked at twice", duration_text(footage), note)


def _states(
    agreement: Agreement, of_several: Mapping[str, AllAgree], why_not_several: str
) -> Iterator[Line]:
    sheet = agreement.looks.sheet
    apart = duration_text(agreement.tolerance_ns)
    if why_not_several:
        yield Line("several", "All looks", NOT_DEFINED, why_not_several)
    for group, agreed in agreement.states.items():
        title = "Out of sight" if group == SIGHT else sheet.group(group).title
        yield _state_line(f"states.{group}.kappa", title, agreed, sheet)
        if group in of_several:
            yield _of_all(group, title, of_several[group])
        for name, part in agreed.parts.items():
            key, label = f"states.{group}.behaviours.{name}.kappa", f"  {sheet[name].title}"
            yield _state_line(key, label, part, sheet)
        if agreed.onsets is not None and agreed.onsets.agreement is not None:
            key, label = f"states.{group}.onsets.agreement", f"  {title}, when each began, within {apart}"
            yield _event_line(key, label, agreed.onsets)
    for group, found in of_several.items():
        if group not in agreement.states:
            yield _of_all(group, sheet.group(group).title, found)
    for group, singles in agreement.single.items():
        for name, part in singles.items():
            label = f"{sheet.group(group).title}: {sheet[name].title}"
            yield _state_line(f"states.{group}.behaviours.{name}.kappa", label, part, sheet)


def _state_line(key: str, label: str, agreed: StateAgreement, sheet: Sheet) -> Line:
    table = agreed.table
    if table.po is None:
        return Line(key, label, NOT_DEFINED, table.why_no_kappa)
    within = agreed.units.agree_within(_LONGEST_TOLERANCE_NS)
    same = f"the same in {percent_text(table.po)} of the time"
    if within > table.agreed:
        more = percent_text(Fraction(within, table.total))
        same += f", in {more} within {_LONGEST_TOLERANCE_NS // NS_PER_S} s"
        kappa = agreed.units.within(_LONGEST_TOLERANCE_NS)[0].kappa
        same += f" (kappa {_two(kappa)})" if kappa is not None else ""
    if table.kappa is None:
        return Line(key, label, NOT_DEFINED, joined(same, table.why_no_kappa))
    notes = (same, _for_and_against(table), _bounds(agreed.kappa_95), _why_low(table, sheet))
    return Line(key, label, f"kappa {_two(table.kappa)}", joined(*notes))


def _for_and_against(table: Crosstab) -> str:
    """Positive and negative agreement of what can only be on or off, where the two are not wholly alike."""
    if YES not in table.codes or table.agreed == table.total:
        return ""
    said = ((table.positive(YES), "alike where it is on"), (table.negative(YES), "where it is off"))
    return ", ".join(f"{words} {percent_text(share)}" for share, words in said if share is not None)


def _why_low(table: Crosstab, sheet: Sheet) -> str:
    """Why kappa is low although the two mostly say the same; empty where it is not so."""
    po, pe, kappa = table.po, table.pe, table.kappa
    if po is None or pe is None or kappa is None or po < _HIGH_SHARE or kappa >= _LOW_KAPPA:
        return ""
    most = max(range(len(table.codes)), key=lambda place: table.rows[place] + table.columns[place])
    code = table.codes[most]
    nearly_all = {NO: "it is seldom on", YES: "it is nearly always on", UNTAGGED: "most is untagged"}
    title = sheet[code].title if code in sheet else code.replace("_", " ")
    because = nearly_all.get(code) or f"most of it is {title}"
    return f"kappa is low all the same: {because}, so chance alone would agree in {percent_text(pe)}"


def _events(agreement: Agreement) -> Iterator[Line]:
    sheet = agreement.looks.sheet
    if agreement.events.agreement is None:
        return
    label = f"All instants, within {duration_text(agreement.tolerance_ns)}"
    yield _event_line("events.agreement", label, agreement.events)
    for name, agreed in agreement.by_behaviour.items():
        yield _event_line(f"events.behaviours.{name}.agreement", f"  {sheet[name].title}", agreed)


def _event_line(key: str, label: str, agreed: EventAgreement) -> Line:
    figure = NOT_DEFINED if agreed.agreement is None else f"agreement {_two(agreed.agreement)}"
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
        yield Line(key, label, NOT_DEFINED, agreed.why_not)
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


def _of_all(group: str, title: str, found: AllAgree) -> Line:
    one = found.fleiss
    label = f"{title}, all {one.observers} looks"
    figure = NOT_DEFINED if one.kappa is None else f"kappa {_two(one.kappa)}"
    same = f"any two the same in {percent_text(one.po)} of the time" if one.po is not None else ""
    notes = joined(same, one.why_no_kappa, _bounds(found.kappa_95))
    return Line(f"several.{group}.kappa", label, figure, notes)


def _bounds(interval: Interval) -> str:
    if interval.ends is None:
        return ""
    low, high = interval.ends
    return f"could be as low as {_two(low)} or as high as {_two(high)}"


def _two(value: Fraction | float) -> str:
    """With two decimals, and no minus before nothing."""
    return f"{float(value):.2f}".replace("-0.00", "0.00")
