"""Every figure leads back to the moments that it was made of."""

from __future__ import annotations

import pytest
from hypothesis import given

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from annotate.numbers.in_words import in_words
from annotate.numbers.observed import look_at
from annotate.numbers.session_numbers import session_numbers
from annotate.numbers.sources import Source, Traced
from annotate.numbers.tracing import figure_at, sources_of, trace
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import sessions, tag_lists
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, event, of_length, state

SHEET = default_sheet()

def traced(session: Session, key: str, *tags: Tag) -> tuple[Source, ...]:
    return trace(session, tags, SHEET, session_numbers(session, tags, SHEET), key)


def told(session: Session, key: str, *tags: Tag) -> list[tuple[float, float | None, str]]:
    return [
        (one.start_ns / NS_PER_S, None if one.end_ns is None else one.end_ns / NS_PER_S, one.words)
        for one in traced(session, key, *tags)
    ]


def test_the_left_trot_of_the_worked_session_is_one_stretch() -> None:
    assert told(WORKED, "gait.trot.left_s", *WORKED_TAGS) == [(180, 300, "trot")]


def test_a_rate_leads_to_its_reactions() -> None:
    found = told(WORKED, "reactions.left.per_min", *WORKED_TAGS)
    assert [at for at, _, _ in found] == [100, 210, 250]


def test_a_recovery_runs_from_the_reaction_to_its_end() -> None:
    found = told(WORKED, "recovery.median_s", *WORKED_TAGS)
    assert found[0] == (100, 108, "spook, to calm")
    assert found[3] == (400, 430, "spook, to the next reaction, cut short")


def test_a_source_has_the_tag_itself() -> None:
    spook = event("spook", 3, severity=2, stimulus="flag")
    [found] = traced(of_length(10), "reactions.by_severity.2", spook)
    assert found.tag is not None
    assert found.tag.id == spook.id
    assert found.words == "spook, severity 2, flag"


def test_time_without_a_gait_stands_for_itself() -> None:
    found = told(of_length(30), "seconds.untagged", state("walk", 5, 20))
    assert found == [(0, 5, "in sight, no gait tagged"), (20, 30, "in sight, no gait tagged")]


def test_a_change_of_rein_that_no_turn_explains_leads_to_the_new_rein() -> None:
    found = told(WORKED, "direction_changes.unseen", *WORKED_TAGS)
    assert found == [(390, None, "right rein")]


@pytest.mark.parametrize("key", ["gait.tolt", "", "reactions.count.more", "recovery.each.99", "nonsense"])
def test_a_figure_that_does_not_exist_is_refused(key: str) -> None:
    with pytest.raises(Trouble, match="There is no figure"):
        traced(WORKED, key, *WORKED_TAGS)


@given(sessions(), tag_lists())
def test_every_line_in_words_can_be_traced(session: Session, tags: list[Tag]) -> None:
    numbers = session_numbers(session, tags, SHEET)
    traced = Traced(session, tags, SHEET, numbers, look_at(session, tags, SHEET))
    for line in in_words(numbers):
        for source in sources_of(traced, line.key):
            assert source.end_ns is None or source.end_ns >= source.start_ns
            assert source.words


def test_the_value_of_a_path() -> None:
    figures = {"a": [{"b": 3}]}
    assert figure_at(figures, "a.0.b") == 3
