"""Lets the rule choose passages for the session under review, beside those that were marked."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from annotate.deliver.choose import choose_passages
from annotate.deliver.rules import Rules
from app.counted import Counted
from app.review import Review


def add_by_rule(review: Review, rules: Rules) -> str:
    """Adds what is not there yet, as one step, and says how many. Raises `Trouble` if it cannot be kept."""
    chosen = choose_passages(review.session, review.tags_as_seen(), review.sheet, rules)
    if not chosen:
        return QCoreApplication.translate(
            "choosing", "The rule finds nothing to show yet: tag reactions or gaits first."
        )
    there = {passage.span for passage in review.passages}
    fresh = [passage for passage in chosen if passage.span not in there]
    if not fresh:
        return QCoreApplication.translate("choosing", "Everything that the rule finds is in the list already.")
    step = Counted.tr("{count} passage chosen by rule|{count} passages chosen by rule", "", len(fresh))
    review.highlights.keep([*review.passages, *fresh], step)
    return Counted.tr(
        "{count} passage chosen by rule, beside those you marked.|"
        "{count} passages chosen by rule, beside those you marked.",
        "",
        len(fresh),
    )
