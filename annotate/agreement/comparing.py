"""The whole comparison of two looks, or of more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from annotate.agreement.bootstrap import Draws
from annotate.agreement.events import TOLERANCE_NS, EventAgreement, by_behaviour, compare_events, of_names
from annotate.agreement.looks import UNTAGGED, TwoLooks, exclusive_groups, share_out
from annotate.agreement.several import AllAgree, all_agree
from annotate.agreement.severity import SeverityAgreement, compare_severity
from annotate.agreement.states import StateAgreement, compare_single_states, compare_states
from annotate.agreement.units import UNIT_NS, inside, unit_middles
from annotate.behaviours import OUT_OF_SIGHT, REACTION
from annotate.errors import Trouble
from annotate.numbers.observed import Seen


@dataclass(frozen=True)
class Agreement:
    """How alike two looks are. `states` by group, `single` by group and state, `events` by behaviour."""

    looks: TwoLooks
    unit_ns: int
    tolerance_ns: int
    states: Mapping[str, StateAgreement]
    single: Mapping[str, Mapping[str, StateAgreement]]
    events: EventAgreement
    by_behaviour: Mapping[str, EventAgreement]
    severity: SeverityAgreement


def compare_looks(
    looks: TwoLooks, *, unit_ns: int = UNIT_NS, tolerance_ns: int = TOLERANCE_NS, seed: int = 1
) -> Agreement:
    """Every figure of agreement; the seed makes the intervals repeatable.

    Raises `Trouble` for a tolerance below zero and for units of time below 0.01 s or above a minute.
    """
    if tolerance_ns < 0:
        raise Trouble("A tolerance cannot be below 0 s.")
    draws = Draws(len(looks.passages), seed)
    events = compare_events(looks, looks.first.events, looks.second.events, tolerance_ns, draws)
    reactions = of_names(looks, events, looks.sheet.names(REACTION), draws)
    return Agreement(
        looks=looks,
        unit_ns=unit_ns,
        tolerance_ns=tolerance_ns,
        states=compare_states(looks, draws, unit_ns=unit_ns, tolerance_ns=tolerance_ns),
        single=compare_single_states(looks, draws, unit_ns=unit_ns),
        events=events,
        by_behaviour=by_behaviour(looks, events, draws),
        severity=compare_severity(looks, reactions.pairs, draws),
    )


def compare_several(
    looks: TwoLooks, more: Sequence[Seen], *, unit_ns: int = UNIT_NS, seed: int = 1
) -> dict[str, AllAgree]:
    """Fleiss' kappa over units of time for each group that anybody tagged, of two looks and more.

    Units in which all have nothing, or all have it out of sight, are not compared.
    """
    every = (looks.first, looks.second, *more)
    middles = unit_middles(looks.session.end_ns, unit_ns)
    here = inside(looks.footage, middles)
    passage = np.full(len(middles), -1, dtype=np.int64)
    for place, spans in enumerate(looks.passages):
        passage[inside(spans, middles)] = place
    draws = Draws(len(looks.passages), seed)
    found: dict[str, AllAgree] = {}
    for group, names in exclusive_groups(looks.sheet):
        shared = [share_out(seen, names, looks.footage) for seen in every]
        codes = (*names, OUT_OF_SIGHT, UNTAGGED)
        counts = np.array(
            [np.sum([inside(said[code], middles) for said in shared], axis=0) for code in codes]
        ).T[here]
        told = (counts[:, -1] < len(every)) & (counts[:, -2] < len(every))
        if counts[told][:, :-2].any():
            found[group] = all_agree(counts[told].astype(np.float64), passage[here][told].tolist(), draws)
    return found
