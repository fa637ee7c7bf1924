"""The programme as JSON: where one horse stands, and the morning's list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from annotate.behaviours import Sheet
from annotate.numbers.json_figures import in_seconds
from annotate.programme.cautions import PAIN, RISK, VERDICT
from annotate.programme.concerns import Concern
from annotate.programme.standing import Standing, StepStanding
from annotate.programme.today import Today
from annotate.programme.wording import sentence
from annotate.programme.work import Evidence


def standing_json(standing: Standing, sheet: Sheet) -> dict[str, Any]:
    """A horse, its steps and criteria with what each rests on, and its concerns."""
    at = standing.at
    return {
        "horse": standing.horse,
        "verdict": VERDICT,
        "step": at.step.key if at is not None else None,
        "steps": [_step(one, sheet) for one in standing.steps],
        "concerns": [_concern(one) for one in standing.concerns],
        "sessions": [
            {"id": one.session_id, "date": one.day.isoformat(), "step": one.step or None}
            for one in standing.sessions
        ],
        "left_out": list(standing.left_out),
    }


def today_json(mornings: Sequence[Today], day: str) -> dict[str, Any]:
    """The morning's list."""
    return {"date": day, "verdict": VERDICT, "horses": [_today(one) for one in mornings]}


def _step(one: StepStanding, sheet: Sheet) -> dict[str, Any]:
    return {
        "key": one.step.key,
        "title": one.step.title,
        "do": one.step.do,
        "caution": f"{one.step.caution} {RISK}".strip() if one.step.risky else one.step.caution or None,
        "state": one.state,
        "sessions": list(one.sessions),
        "criteria": [
            {
                "key": finding.criterion.key,
                "wants": sentence(finding.criterion, sheet),
                "state": finding.state,
                "missing": finding.missing or None,
                "evidence": [_evidence(moment) for moment in finding.evidence],
            }
            for finding in one.findings
        ],
    }


def _concern(one: Concern) -> dict[str, Any]:
    return {
        "key": one.key,
        "title": one.title,
        "words": one.words,
        "caution": PAIN if one.pain else None,
        "evidence": [_evidence(moment) for moment in one.evidence],
    }


def _today(one: Today) -> dict[str, Any]:
    at = one.standing.at
    return {
        "horse": one.horse,
        "step": at.step.key if at is not None else None,
        "title": at.step.title if at is not None else None,
        "missing": list(at.missing) if at is not None else [],
        "last_day": one.last_day.isoformat() if one.last_day is not None else None,
        "days_since": one.days_since,
        "last_recovery": _evidence(one.last_recovery) if one.last_recovery is not None else None,
        "concerns": [_concern(concern) for concern in one.standing.concerns],
        "left_out": list(one.standing.left_out),
    }


def _evidence(moment: Evidence) -> dict[str, Any]:
    return {
        "session": moment.session_id,
        "start_s": in_seconds(moment.start_ns),
        "end_s": in_seconds(moment.end_ns),
        "what": moment.words,
    }
