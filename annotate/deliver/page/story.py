"""What was done, in plain words made from the tags. The trainer reads and changes them before they go out.

Sentences state what was tagged and how often; they praise nothing and promise nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from annotate.behaviours import STAND, STIMULUS, TACK, Sheet, stimulus_of
from annotate.days import day_text
from annotate.deliver.wording import reaction_words
from annotate.numbers.exposures import Exposures, Side
from annotate.numbers.recovery import Recovery
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import duration_text, percent_text, several
from annotate.tags import Tag

SIDES: tuple[Side, Side] = ("left", "right")
_FEW = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def story(numbers: SessionNumbers, tags: tuple[Tag, ...], then: SessionNumbers | None = None) -> str:
    """Paragraphs, parted by an empty line; without a tag the one that says how long was filmed."""
    parts = (
        " ".join(_work(numbers)),
        " ".join(_shown(numbers, tags)),
        " ".join(_reactions(numbers)),
        " ".join(_compared(then)) if then is not None else "",
    )
    return "\n\n".join(part for part in parts if part)


def worst_of(numbers: SessionNumbers) -> Recovery | None:
    """The hardest reaction that was seen; of equals the one that took longest."""
    return max(
        numbers.recovery.each,
        key=lambda one: (one.reaction.severity or 0, one.time_ns),
        default=None,
    )


def settling_words(recovery: Recovery) -> str:
    """'calm after 22 s', or that nobody saw it settle."""
    time = duration_text(recovery.time_ns)
    return f"not seen to settle in {time}" if recovery.cut_short else f"calm after {time}"


def rather(count: int) -> str:
    """Small numbers as words."""
    return _FEW[count] if count < len(_FEW) else str(count)


def _work(numbers: SessionNumbers) -> Iterator[str]:
    horse, day = numbers.horse, day_text(numbers.day)
    if not numbers.moving_ns:
        yield f"On {day} {horse} was filmed for {duration_text(numbers.visible_ns)}."
        return
    yield (
        f"On {day} {horse} was in view for {duration_text(numbers.visible_ns)} "
        f"and moving for {duration_text(numbers.moving_ns)} of it."
    )
    gaits = [
        f"{numbers.sheet[name].title} {duration_text(gait.time_ns)}"
        for name, gait in numbers.gaits.items()
        if name != STAND and gait.time_ns
    ]
    if gaits:
        yield f"That was {_listed(gaits)}."
    if numbers.rein.balance is not None:
        left = (1 + numbers.rein.balance) / 2
        yield f"The left rein had {percent_text(left)} of the work, the right rein {percent_text(1 - left)}."


def _shown(numbers: SessionNumbers, tags: tuple[Tag, ...]) -> Iterator[str]:
    worn = [
        behaviour.title
        for behaviour in numbers.sheet.of_group(TACK)
        if any(tag.what == behaviour.name for tag in tags)
    ]
    if worn:
        yield f"{numbers.horse} wore the {_listed(worn)}."
    for stimulus, exposures in numbers.exposures.items():
        count, quiet = len(exposures.each), exposures.without_reaction
        yield f"The {_title(numbers.sheet, stimulus)} was shown {_times(count)}{_where(exposures)}."
        if quiet.of and quiet.count == quiet.of:
            yield "It passed without a reaction." if count == 1 else "All of them passed without a reaction."
        elif quiet.of and quiet.count:
            yield f"{rather(quiet.count).capitalize()} of them passed without a reaction."


def _reactions(numbers: SessionNumbers) -> Iterator[str]:
    count = numbers.reactions.count
    if not count:
        if numbers.visible_ns:
            yield "No reaction was tagged."
        return
    yield f"There {'was' if count == 1 else 'were'} {several(count, 'reaction')}."
    worst = worst_of(numbers)
    if worst is not None:
        words = f"{reaction_words(numbers.sheet, worst.reaction)}, {settling_words(worst)}"
        yield f"It was a {words}." if count == 1 else f"The hardest was a {words}."
    median_ns = numbers.recovery.curve.median_ns
    if median_ns is not None and numbers.recovery.curve.count > 1:
        yield f"Half of them were over within {duration_text(median_ns)}."


def _compared(then: SessionNumbers) -> Iterator[str]:
    before, median_ns = then.reactions.count, then.recovery.curve.median_ns
    were = "was" if before == 1 else "were"
    words = f"On {day_text(then.day)}, in {duration_text(then.visible_ns)} in view, there {were} "
    words += several(before, "reaction") if before else "no reaction"
    if median_ns is not None and then.recovery.curve.count > 1:
        words += f", and half of them were over within {duration_text(median_ns)}"
    yield f"{words}."


def _times(count: int) -> str:
    return ("once", "twice")[count - 1] if count in (1, 2) else f"{rather(count)} times"


def _where(exposures: Exposures) -> str:
    """' on the left', ', twice on the left and once on the right', or nothing where no side is known."""
    left, right = (len(exposures.on(side).each) for side in SIDES)
    if left and right:
        return f", {_times(left)} on the left and {_times(right)} on the right"
    if left + right == len(exposures.each):
        return " on the left" if left else " on the right"
    return ""


def _title(sheet: Sheet, stimulus: str) -> str:
    """What the sheet calls it, without saying twice that it was shown."""
    for behaviour in sheet.of_group(STIMULUS):
        if stimulus_of(behaviour.name) == stimulus:
            return behaviour.title.removesuffix(" shown")
    return stimulus.replace("_", " ")


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
