"""What must hold of the numbers of any session whatever."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.numbers.as_json import to_json
from annotate.numbers.in_words import in_words
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import INSTANTS, mirrored, sessions, tag_lists

SHEET = default_sheet()


def numbers_of(session: Session, tags: list[Tag]) -> SessionNumbers:
    return session_numbers(session, tags, SHEET)


@given(sessions(), tag_lists())
def test_gaits_untagged_and_out_of_sight_make_the_observed_length(
    session: Session, tags: list[Tag]
) -> None:
    numbers = numbers_of(session, tags)
    gaits = sum(gait.time_ns for gait in numbers.gaits.values())
    assert gaits + numbers.untagged_ns + numbers.out_of_sight_ns == numbers.length_ns
    assert numbers.length_ns + numbers.gaps_ns == session.end_ns
    assert min(numbers.untagged_ns, numbers.out_of_sight_ns, numbers.gaps_ns) >= 0


@given(sessions(), tag_lists())
def test_no_rein_holds_more_than_the_time_it_is_part_of(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, tags)
    assert numbers.rein.left_ns + numbers.rein.right_ns <= numbers.moving_ns
    assert numbers.rein.visible_left_ns + numbers.rein.visible_right_ns <= numbers.visible_ns
    assert all(gait.left_ns + gait.right_ns <= gait.time_ns for gait in numbers.gaits.values())
    moving_left = sum(gait.left_ns for name, gait in numbers.gaits.items() if name != "stand")
    assert moving_left == numbers.rein.left_ns


@given(sessions(), tag_lists())
def test_every_reaction_is_counted_once_in_every_sorting(session: Session, tags: list[Tag]) -> None:
    reactions = numbers_of(session, tags).reactions
    assert reactions.count == sum(tag.what in ("spook", "buck") for tag in tags)
    for sorting in (reactions.by_kind, reactions.by_stimulus, reactions.by_severity):
        assert sum(sorting.values()) == reactions.count
    on_reins = reactions.left.count + reactions.right.count + reactions.no_rein
    assert on_reins + reactions.out_of_sight == reactions.count


@given(sessions(), tag_lists())
def test_every_visible_reaction_has_one_recovery(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, tags)
    curve = numbers.recovery.curve
    assert curve.count == numbers.reactions.seen.count
    assert curve.cut_short + sum(step.ended for step in curve.steps) == curve.count
    for sorting in (numbers.recovery.by_rein, numbers.recovery.by_stimulus, numbers.recovery.by_severity):
        assert sum(len(part.each) for part in sorting.values()) == curve.count


@settings(max_examples=150)
@given(sessions(), tag_lists(), st.randoms(use_true_random=False))
def test_the_order_of_tagging_never_matters(session: Session, tags: list[Tag], random: Any) -> None:
    shuffled = random.sample(tags, len(tags))
    assert numbers_of(session, shuffled) == numbers_of(session, tags)


@given(sessions(), tag_lists(), INSTANTS)
def test_states_in_touching_pieces_change_nothing(session: Session, tags: list[Tag], at_ns: int) -> None:
    pieces: list[Tag] = []
    for tag in tags:
        if tag.end_ns is not None and tag.start_ns < at_ns < tag.end_ns:
            pieces += [replace(tag, end_ns=at_ns), replace(tag, start_ns=at_ns)]
        else:
            pieces.append(tag)
    assert numbers_of(session, pieces) == numbers_of(session, tags)


@settings(max_examples=150)
@given(sessions(), tag_lists())
def test_the_mirrored_session_has_the_mirrored_numbers(session: Session, tags: list[Tag]) -> None:
    numbers = to_json(numbers_of(session, tags))
    other = to_json(numbers_of(session, [mirrored(tag) for tag in tags]))
    one_to_other = numbers["reactions"].pop("left_right")
    other_to_one = other["reactions"].pop("left_right")
    assert numbers["recovery"].pop("left_right") == other["recovery"].pop("left_right")
    numbers.pop("reasons")
    other.pop("reasons")
    assert in_mirror(numbers) == other
    if one_to_other["ratio"]:
        assert other_to_one["p"] == pytest.approx(one_to_other["p"], rel=1e-9)
        assert other_to_one["ratio"] == pytest.approx(1 / one_to_other["ratio"], rel=1e-9)
        low, high = one_to_other["ratio_95"]
        assert other_to_one["ratio_95"] == pytest.approx([1 / high, 1 / low], rel=1e-6)


@given(sessions(), tag_lists())
def test_a_figure_is_null_exactly_where_a_reason_stands(session: Session, tags: list[Tag]) -> None:
    figures = to_json(numbers_of(session, tags))
    reasons = figures.pop("reasons")
    assert set(nulls("", figures)) == set(reasons)
    assert all(reason.endswith(".") for reason in reasons.values())
    json.dumps(figures, allow_nan=False)


@given(sessions(), tag_lists())
def test_every_line_in_words_stands_for_a_figure(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, tags)
    figures = to_json(numbers)
    for line in in_words(numbers):
        assert line.label
        assert line.figure
        assert line.key in figures["reasons"] or at_path(figures, line.key) is not None


def test_every_part_of_the_numbers_compares_by_what_it_says() -> None:
    assert all(field.compare for field in fields(SessionNumbers))


def at_path(figures: Any, path: str) -> Any:
    for word in path.split("."):
        figures = figures[int(word)] if isinstance(figures, list) else figures[word]
    return figures


def nulls(path: str, figures: Any) -> list[str]:
    if figures is None:
        return [path]
    if isinstance(figures, dict):
        inner = figures.items()
    elif isinstance(figures, list):
        inner = enumerate(figures)  # type: ignore[assignment]
    else:
        return []
    return [found for key, value in inner for found in nulls(f"{path}.{key}".lstrip("."), value)]


def in_mirror(figures: Any) -> Any:
    """Left and right changed over in every key and value, and every balance turned round."""
    if isinstance(figures, dict):
        return {
            changed_over(key): -value if key == "balance" and value is not None else in_mirror(value)
            for key, value in figures.items()
        }
    if isinstance(figures, list):
        return [in_mirror(value) for value in figures]
    return changed_over(figures) if isinstance(figures, str) else figures


def changed_over(word: str) -> str:
    return word.replace("left", "#").replace("right", "left").replace("#", "right")
