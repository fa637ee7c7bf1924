"""The ladder in words: for the terminal, and for whoever shows it to the owner."""

from __future__ import annotations

from annotate.behaviours import Sheet
from annotate.programme.cautions import PAIN, RISK
from annotate.programme.finding import Finding, State
from annotate.programme.standing import Standing
from annotate.programme.wording import sentence

STATE_WORDS: dict[State, str] = {"met": "met", "not_yet": "not yet", "not_seen": "not seen"}


def ladder(standing: Standing) -> list[tuple[str, str, str]]:
    """For each step: its number and title, its state, and how many of its criteria are met."""
    return [
        (f"{place}. {one.step.title}", STATE_WORDS[one.state], f"{one.met} of {len(one.findings)}")
        for place, one in enumerate(standing.steps, 1)
    ]


def now(standing: Standing) -> str:
    """'Now: Work on the line', or that every criterion is met."""
    at = standing.at
    return "Every criterion of the programme is met." if at is None else f"Now: {at.step.title}"


def criteria_rows(standing: Standing, sheet: Sheet) -> list[tuple[str, str, str, str]]:
    """For the step that the horse is at: criterion, state, what is missing, and the moments to see."""
    at = standing.at
    return [
        (
            sentence(finding.criterion, sheet),
            STATE_WORDS[finding.state],
            finding.missing,
            _see(finding),
        )
        for finding in (at.findings if at is not None else ())
    ]


def _see(finding: Finding) -> str:
    if not finding.evidence:
        return ""
    more = len(finding.evidence) - 1
    return f"{finding.evidence[0].place}{f' and {more} more' if more else ''}"


def caution_lines(standing: Standing) -> list[str]:
    """What to mind at the step the horse is at, and where pain is possible."""
    at = standing.at
    lines = [f"{at.step.caution} {RISK}".strip()] if at is not None and at.step.risky else []
    return lines + ([PAIN] if any(concern.pain for concern in standing.concerns) else [])
