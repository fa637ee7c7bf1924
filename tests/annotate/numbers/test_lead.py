from __future__ import annotations

from fractions import Fraction

from hypothesis import given

from annotate.clock import NS_PER_S
from annotate.numbers.lead import Leads
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import sessions, tag_lists
from tests.annotate.numbers.worked_session import numbers_of, of_length, state


def leads(*tags: Tag) -> Leads:
    return numbers_of(of_length(60), *tags).leads


def test_the_lead_of_the_rein_is_correct() -> None:
    reins = (state("left_rein", 0, 30), state("right_rein", 30, 60), state("lope", 0, 60))
    found = leads(*reins, state("left_lead", 0, 40), state("right_lead", 40, 60))
    assert (found.left.correct_ns, found.left.wrong_ns) == (30 * NS_PER_S, 0)
    assert (found.right.correct_ns, found.right.wrong_ns) == (20 * NS_PER_S, 10 * NS_PER_S)
    assert found.whole.share == Fraction(50, 60)


def test_disunited_is_neither_correct_nor_wrong() -> None:
    found = leads(state("right_rein", 0, 60), state("lope", 0, 20), state("disunited", 5, 15))
    assert (found.whole.disunited_ns, found.whole.wrong_ns) == (10 * NS_PER_S, 0)
    assert found.whole.untagged_ns == 10 * NS_PER_S
    assert found.whole.share == 0


def test_a_lead_counts_at_lope_only() -> None:
    found = leads(state("left_rein", 0, 60), state("trot", 0, 30), state("left_lead", 0, 30))
    assert found.whole.lope_ns == 0
    assert found.whole.share is None


def test_a_lead_without_a_rein_cannot_be_judged() -> None:
    found = leads(state("lope", 0, 30), state("left_lead", 0, 30))
    assert found.whole.untagged_ns == 30 * NS_PER_S


@given(sessions(), tag_lists())
def test_correct_wrong_disunited_and_untagged_make_the_lope(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, *tags)
    whole = numbers.leads.whole
    assert whole.lope_ns == numbers.gaits["lope"].time_ns
    assert min(whole.correct_ns, whole.wrong_ns, whole.disunited_ns, whole.untagged_ns) >= 0
