from __future__ import annotations

from fractions import Fraction

import pytest

from annotate.agreement.events import EventAgreement, match_events
from annotate.agreement.matching import match
from annotate.errors import Trouble
from annotate.tags import Tag
from tests.annotate.agreement.second_looks import SPOOKS_A, SPOOKS_B, compared, ns, span
from tests.annotate.numbers.worked_session import event, events


def starts(tags: tuple[Tag, ...]) -> list[int]:
    return [tag.start_ns for tag in tags]


def test_the_worked_spooks_pair_as_worked_on_paper() -> None:
    found = match_events(SPOOKS_A, SPOOKS_B, ns(1))
    assert (found.matched, found.agreement, found.of_union) == (4, Fraction(4, 5), Fraction(2, 3))
    assert starts(found.only_first) == [ns(40)]
    assert starts(found.only_second) == [ns(55)]
    assert [(p.first.start_ns, p.second.start_ns) for p in found.pairs][2] == (ns(41.5), ns(41))
    assert found.mean_late_ns == Fraction(ns(0.1), 4)


def test_taking_the_nearest_first_would_leave_two_alone() -> None:
    assert match([ns(10), ns(11)], [ns(10.9), ns(11.9)], ns(1)) == [(0, 0), (1, 1)]


def test_of_as_many_pairs_the_closer_ones_are_taken() -> None:
    assert match([ns(10)], [ns(9.5), ns(10.1), ns(10.9)], ns(1)) == [(0, 1)]


def test_a_distance_of_the_whole_tolerance_still_pairs() -> None:
    assert match([0, ns(10)], [ns(1), ns(11) + 1], ns(1)) == [(0, 0)]


def test_a_thousand_instants_pair_exactly() -> None:
    first = [ns(n * 0.7) for n in range(1000)]
    assert match(first, [at + 1 for at in first], ns(0.3)) == [(n, n) for n in range(1000)]


def test_different_names_do_not_pair() -> None:
    found = match_events([event("spook", 10)], [event("shy", 10)], ns(1))
    assert (found.matched, found.agreement) == (0, 0)


def test_without_any_instant_there_is_no_agreement() -> None:
    found = EventAgreement((), (), ())
    assert (found.agreement, found.of_union, found.mean_late_ns, found.median_late_ns) == (None,) * 4
    assert (found.found_again.share, found.had_before.share) == (None, None)


def test_one_pair_has_a_mean_and_no_spread() -> None:
    found = match_events([event("spook", 10)], [event("spook", 10.5)])
    assert (found.mean_late_ns, found.median_late_ns, found.spread_late_ns) == (ns(0.5), ns(0.5), None)


def test_the_spread_is_the_standard_deviation_of_the_lateness() -> None:
    found = match_events(list(events("calm", 10, 20, 30)), list(events("calm", 10.1, 20.2, 30.3)))
    assert found.spread_late_ns == pytest.approx(ns(0.1))


def test_each_behaviour_has_its_own_agreement() -> None:
    first, second = [*SPOOKS_A, event("calm", 80)], [*SPOOKS_B, event("calm", 90)]
    found = compared(first, second)
    assert (found.events.matched, found.by_behaviour["spook"].matched) == (4, 4)
    assert found.by_behaviour["calm"].agreement == 0


def test_an_instant_just_outside_the_footage_is_a_partner_but_not_a_miss() -> None:
    first, second = list(events("spook", 19.8, 50, 70.5)), list(events("spook", 20.1, 50.2))
    found = compared(first, second, passages=[span(20, 70)]).events
    assert (found.matched, len(found.only_first), len(found.only_second)) == (2, 0, 0)


def test_a_tolerance_below_nothing_is_refused() -> None:
    with pytest.raises(Trouble):
        compared(SPOOKS_A, SPOOKS_B, tolerance_ns=-1)
