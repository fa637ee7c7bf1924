"""The agreement of two looks as one JSON object.

An undefined figure is null and `reasons` says why, by its path. `first` and `a` are the first look, `second`
and `b` the second; in a confusion table the first look's code comes first. Lateness is the second look's
time less the first's. The keys are a promise to whoever reads them with a program: add, never rename.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from annotate.agreement.bootstrap import Interval
from annotate.agreement.comparing import Agreement
from annotate.agreement.crosstab import Crosstab
from annotate.agreement.differences import Difference, differences
from annotate.agreement.doubt import Doubt, doubts
from annotate.agreement.events import NO_PAIRS, NOTHING_TAGGED, EventAgreement
from annotate.agreement.kept_looks import KeptLook
from annotate.agreement.lag_on_tags import lag_help
from annotate.agreement.looks import YES
from annotate.agreement.several import AllAgree
from annotate.agreement.severity import SeverityAgreement
from annotate.agreement.states import TOLERANCES_NS, StateAgreement
from annotate.clock import NS_PER_S, seconds_text
from annotate.numbers.json_figures import in_seconds, of_proportion, plain

SIDE_BY_SIDE = "These may be on at once; each has an agreement of its own."
ONE_PAIR = "Fewer than two of them pair."


def to_json(
    agreement: Agreement,
    several: Mapping[str, AllAgree] | None = None,
    *,
    of_look: int | None = None,
    looks: Sequence[KeptLook] = (),
    why_not_several: str = "",
) -> dict[str, Any]:
    """Everything, ready for `json.dumps(..., allow_nan=False)`; `several` where there are more looks.

    `of_look` is the number of the look that was compared, of `looks`. `why_not_several`: why those have no
    agreement in common.
    """
    why: dict[str, str] = {}
    two = agreement.looks
    tolerances = sorted({*TOLERANCES_NS, agreement.tolerance_ns})
    states: dict[str, Any] = {}
    for group, agreed in agreement.states.items():
        states[group] = _state(agreed, f"states.{group}", tolerances, why)
    for group, singles in agreement.single.items():
        parts = {
            name: _state(agreed, f"states.{group}.behaviours.{name}", tolerances, why)
            for name, agreed in singles.items()
        }
        states.setdefault(group, {"kappa": None})["behaviours"] = parts
        if states[group]["kappa"] is None:
            why.setdefault(f"states.{group}.kappa", SIDE_BY_SIDE)
    answer: dict[str, Any] = {
        "footage": {
            "seconds": in_seconds(two.footage.length_ns),
            "passages": len(two.passages),
            "unit_s": in_seconds(agreement.unit_ns),
            "tolerance_s": in_seconds(agreement.tolerance_ns),
        },
        "states": states,
        "events": {
            **_events(agreement.events, "events", why),
            "behaviours": {
                name: _events(agreed, f"events.behaviours.{name}", why)
                for name, agreed in agreement.by_behaviour.items()
            },
        },
        "severity": _severity(agreement.severity, why),
        "differences": [_difference(one) for one in differences(agreement)],
        "numbers": doubts_json(doubts(two)),
    }
    if looks:
        answer["look"] = of_look
        answer["looks"] = [_look(look) for look in looks]
    lag = lag_help(two)
    if lag is not None:
        answer["key_lag"] = {
            "tags": lag.pairs,
            "apart_s": in_seconds(lag.apart_ns),
            "apart_with_lag_s": in_seconds(lag.apart_with_lag_ns),
            "helped": lag.helped,
        }
    if several is not None:
        answer["several"] = {group: _fleiss(one, f"several.{group}", why) for group, one in several.items()}
    elif why_not_several:
        answer["several"] = None
        why["several"] = why_not_several
    return {**answer, "reasons": why}


def doubts_json(found: Mapping[str, Doubt]) -> dict[str, Any]:
    """How far each figure moved, by its path in the numbers' JSON."""
    return {path: _doubt(doubt) for path, doubt in found.items()}


def _state(
    agreed: StateAgreement, path: str, tolerances: list[int], why: dict[str, str]
) -> dict[str, Any]:
    table, units = agreed.table, agreed.units
    within = {tolerance_ns: units.within(tolerance_ns) for tolerance_ns in tolerances}
    found: dict[str, Any] = {
        **_kappa(table, path, why),
        "kappa_95": _interval(agreed.kappa_95, f"{path}.kappa_95", why),
        "units": table.total,
        "agree_within": {
            seconds_text(tolerance_ns): units.agree_within(tolerance_ns) for tolerance_ns in tolerances
        },
        "kappa_within": {
            seconds_text(tolerance_ns): {
                "first_in_second": plain(ours.kappa),
                "second_in_first": plain(theirs.kappa),
            }
            for tolerance_ns, (ours, theirs) in within.items()
        },
        "exact": _kappa(agreed.exact, f"{path}.exact", why),
        "seconds": {
            "compared": in_seconds(agreed.said.compared.length_ns),
            "agreed": in_seconds(agreed.exact.agreed),
            "out_of_sight_in_both": in_seconds(agreed.said.hidden.length_ns),
            "untagged_in_both": in_seconds(agreed.said.silent.length_ns),
        },
        "confusion": {
            code: {
                called: in_seconds(cell)
                for called, cell in zip(agreed.exact.codes, row, strict=True)
            }
            for code, row in zip(agreed.exact.codes, agreed.exact.cells, strict=True)
        },
        "confused": _confused(agreed, path, why),
    }
    for tolerance_ns, (ours, theirs) in within.items():
        for word, one in (("first_in_second", ours), ("second_in_first", theirs)):
            if one.kappa is None:
                why[f"{path}.kappa_within.{seconds_text(tolerance_ns)}.{word}"] = one.why_no_kappa
    if YES in table.codes:
        for word, share, reason in (
            ("positive", table.positive(YES), "Neither look has it."),
            ("negative", table.negative(YES), "Both looks have it throughout."),
        ):
            found[word] = plain(share)
            if share is None:
                why[f"{path}.{word}"] = reason
    else:
        found["behaviours"] = {
            name: _state(part, f"{path}.behaviours.{name}", tolerances, why)
            for name, part in agreed.parts.items()
        }
    if agreed.onsets is not None:
        found["onsets"] = _events(agreed.onsets, f"{path}.onsets", why)
    return found


def _kappa(table: Crosstab, path: str, why: dict[str, str]) -> dict[str, Any]:
    figures = {
        "kappa": table.kappa,
        "kappa_max": table.kappa_max,
        "po": table.po,
        "pe": table.pe,
        "pabak": table.pabak,
    }
    for word, figure in figures.items():
        if figure is None:
            why[f"{path}.{word}"] = table.why_no_kappa or "Only one thing was tagged."
    return {word: plain(figure) for word, figure in figures.items()}


def _confused(agreed: StateAgreement, path: str, why: dict[str, str]) -> list[dict[str, Any]]:
    """For each code of the first look, the share of its units that the second calls something else."""
    table = agreed.table
    found: list[dict[str, Any]] = []
    for row, code in enumerate(table.codes):
        for column, called in enumerate(table.codes):
            if row != column and table.cells[row][column]:
                place = f"{path}.confused.{len(found)}.share_95"
                found.append(
                    {
                        "first": code,
                        "second": called,
                        "units": table.cells[row][column],
                        "share": table.cells[row][column] / table.rows[row],
                        "share_95": _interval(agreed.share_95(code, called), place, why),
                    }
                )
    return found


def _events(agreed: EventAgreement, path: str, why: dict[str, str]) -> dict[str, Any]:
    mean, middle, spread = agreed.mean_late_ns, agreed.median_late_ns, agreed.spread_late_ns
    if agreed.agreement is None:
        why[f"{path}.agreement"] = why[f"{path}.of_union"] = NOTHING_TAGGED
    if mean is None:
        why[f"{path}.mean_late_s"] = why[f"{path}.median_late_s"] = NO_PAIRS
    if spread is None:
        why[f"{path}.spread_late_s"] = ONE_PAIR
    for word, share in (("found_again", agreed.found_again), ("had_before", agreed.had_before)):
        if not share.of:
            look = "first" if word == "found_again" else "second"
            why[f"{path}.{word}.share"] = why[f"{path}.{word}.share_95"] = f"The {look} look has none."
    return {
        "matched": agreed.matched,
        "only_a": len(agreed.only_first),
        "only_b": len(agreed.only_second),
        "agreement": plain(agreed.agreement),
        "agreement_95": _interval(agreed.agreement_95, f"{path}.agreement_95", why),
        "of_union": plain(agreed.of_union),
        "found_again": of_proportion(agreed.found_again),
        "had_before": of_proportion(agreed.had_before),
        "mean_late_s": in_seconds(mean),
        "mean_late_s_95": _interval(agreed.late_95, f"{path}.mean_late_s_95", why),
        "median_late_s": in_seconds(middle),
        "spread_late_s": None if spread is None else spread / NS_PER_S,
    }


def _severity(agreed: SeverityAgreement, why: dict[str, str]) -> dict[str, Any]:
    for word, figure in (
        ("kappa", agreed.table.kappa),
        ("linear", agreed.linear),
        ("quadratic", agreed.quadratic),
    ):
        if figure is None:
            why[f"severity.{word}"] = agreed.why_not
    return {
        "pairs": agreed.table.total,
        "not_given": agreed.not_given,
        "kappa": plain(agreed.table.kappa),
        "linear": plain(agreed.linear),
        "linear_95": _interval(agreed.linear_95, "severity.linear_95", why),
        "quadratic": plain(agreed.quadratic),
        "quadratic_95": _interval(agreed.quadratic_95, "severity.quadratic_95", why),
        "table": [list(row) for row in agreed.table.cells],
    }


def _fleiss(all_agree: AllAgree, path: str, why: dict[str, str]) -> dict[str, Any]:
    one = all_agree.fleiss
    if one.kappa is None:
        why[f"{path}.kappa"] = one.why_no_kappa
    return {
        "observers": one.observers,
        "units": len(one.counts),
        "kappa": plain(one.kappa),
        "kappa_95": _interval(all_agree.kappa_95, f"{path}.kappa_95", why),
        "po": plain(one.po),
        "pe": plain(one.pe),
    }


def _look(look: KeptLook) -> dict[str, Any]:
    """A look at the whole session has no passages: null."""
    return {
        "look": look.number,
        "who": look.who or None,
        "date": look.day.isoformat() if look.day is not None else None,
        "passages": None if look.drawn is None else len(look.drawn.passages),
        "done": None if look.drawn is None else len(look.drawn.done),
        "set_aside": look.aside,
    }


def _difference(one: Difference) -> dict[str, Any]:
    """An instant ends where it is."""
    return {
        "at_s": in_seconds(one.at_ns),
        "end_s": in_seconds(one.at_ns if one.span is None else one.span.end_ns),
        "kind": one.kind,
        "group": one.group,
        "first": one.first_says,
        "second": one.second_says,
        "play_from_s": in_seconds(one.play.start_ns),
        "play_to_s": in_seconds(one.play.end_ns),
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {
        "first": doubt.first,
        "second": doubt.second,
        "difference": doubt.difference,
        "over_session": doubt.over_session,
        "words": doubt.words,
    }


def _interval(interval: Interval, path: str, why: dict[str, str]) -> list[float] | None:
    if interval.ends is None:
        why[path] = interval.why
        return None
    return list(interval.ends)
