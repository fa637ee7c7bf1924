from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from annotate.agreement.crosstab import NOTHING_COMPARED, ONE_THING_ONLY, crosstab
from annotate.agreement.looks import NO, UNTAGGED, YES
from annotate.agreement.states import StateAgreement
from annotate.errors import TagTrouble, Trouble
from annotate.tags import Tag
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, compared, ns, row, span
from tests.annotate.numbers.any_session import row_of
from tests.annotate.numbers.worked_session import state


def gait(first: list[Tag], second: list[Tag], length_s: float = 600, **how: object) -> StateAgreement:
    return compared(first, second, length_s, **how).states["gait"]


def test_the_worked_session_has_the_kappa_worked_on_paper() -> None:
    table = gait(GAITS_A, GAITS_B).table
    assert table.codes == ("stand", "walk", "trot", "lope")
    assert table.cells == ((120, 0, 0, 0), (0, 115, 5, 0), (5, 0, 295, 0), (0, 0, 5, 55))
    assert (table.po, float(table.pe or 0)) == (Fraction(39, 40), pytest.approx(0.34333, abs=5e-6))
    assert float(table.kappa or 0) == pytest.approx(0.9619, abs=5e-5)


@pytest.mark.parametrize(("seconds", "units"), [(0, 585), (1, 589), (2, 593), (3, 596), (5, 600)])
def test_the_worked_session_agrees_in_more_units_within_a_tolerance(seconds: int, units: int) -> None:
    assert gait(GAITS_A, GAITS_B).units.agree_within(ns(seconds)) == units


def test_kappa_within_a_tolerance_depends_on_whose_units_are_sought() -> None:
    ours, theirs = gait(GAITS_A, GAITS_B).units.within(ns(2))
    assert (ours.agreed, theirs.agreed) == (593, 593)
    assert ours.rows == gait(GAITS_A, GAITS_B).table.rows
    assert theirs.columns == gait(GAITS_A, GAITS_B).table.columns


def test_without_tolerance_both_ways_are_the_plain_table() -> None:
    found = gait(GAITS_A, GAITS_B)
    assert found.units.within(0) == (found.table, found.table)


def test_exact_time_agrees_to_the_nanosecond() -> None:
    found = gait(row(("walk", 30.25), ("trot", 29.75)), row(("walk", 30.5), ("trot", 29.5)), 60)
    assert found.exact.cells == ((ns(30.25), 0), (ns(0.25), ns(29.5)))
    assert found.table.agreed == 60


def test_smaller_units_see_smaller_differences() -> None:
    first, second = row(("walk", 30.25), ("trot", 29.75)), row(("walk", 30.5), ("trot", 29.5))
    assert gait(first, second, 60, unit_ns=ns(0.05)).table.cells == ((605, 0), (5, 590))


def test_units_of_no_sensible_length_are_refused() -> None:
    with pytest.raises(Trouble, match=r"0\.01 s to 60 s"):
        gait(GAITS_A, GAITS_B, unit_ns=1000)


def test_a_behaviour_is_compared_with_all_others() -> None:
    lope = gait(GAITS_A, GAITS_B).parts["lope"].table
    assert lope.codes == (YES, NO)
    assert lope.cells == ((55, 5), (0, 540))
    assert (lope.positive(YES), lope.negative(YES)) == (Fraction(110, 115), Fraction(1080, 1085))


def test_what_neither_tagged_is_not_compared() -> None:
    found = gait(row(("walk", 30), ("", 30)), row(("walk", 20), ("trot", 10), ("", 30)), 60)
    assert found.said.silent.length_ns == ns(30)
    assert (found.table.total, found.table.codes) == (30, ("walk", "trot"))


def test_what_only_one_tagged_is_a_disagreement() -> None:
    found = gait(row(("walk", 60)), row(("walk", 50)), 60)
    assert found.table.codes == ("walk", UNTAGGED)
    assert found.table.cells == ((50, 10), (0, 0))


def test_what_both_have_out_of_sight_is_not_compared() -> None:
    gone = state("out_of_sight", 20, 40)
    first, second = ([*row(("walk", 60)), gone], [*row(("walk", 50), ("trot", 10)), gone])
    found = gait(first, second, 60)
    assert (found.said.hidden.length_ns, found.table.total) == (ns(20), 40)


def test_out_of_sight_in_one_look_only_is_what_that_look_says() -> None:
    first = [*row(("walk", 60)), state("out_of_sight", 20, 40)]
    agreement = compared(first, row(("walk", 60)), 60)
    assert agreement.states["gait"].table.codes == ("walk", "out_of_sight")
    assert agreement.states["gait"].table.cells == ((40, 0), (20, 0))
    assert agreement.states["sight"].table.cells == ((0, 20), (0, 40))


def test_states_side_by_side_are_compared_one_by_one() -> None:
    first = [state("flag_on", 10, 30), state("bag_on", 20, 40)]
    second = [state("flag_on", 10, 25), state("bag_on", 20, 40)]
    single = compared(first, second, 60).single["stimulus"]
    assert single["flag_on"].table.cells == ((15, 5), (0, 40))
    assert single["bag_on"].table.kappa == 1


def test_one_and_the_same_gait_throughout_has_no_kappa() -> None:
    table = gait(row(("walk", 60)), row(("walk", 60)), 60).table
    assert (table.po, table.kappa, table.why_no_kappa) == (1, None, ONE_THING_ONLY)


def test_nothing_compared_has_no_figure() -> None:
    table = crosstab(["walk", "trot"], [[0, 0], [0, 0]])
    assert (table.po, table.pe, table.kappa, table.pabak) == (None,) * 4
    assert (table.positive("walk"), table.negative("walk")) == (None, None)
    assert table.why_no_kappa == NOTHING_COMPARED


def test_a_table_that_is_not_square_is_refused() -> None:
    with pytest.raises(Trouble):
        crosstab(["walk", "trot"], [[1, 2]])


def test_what_nobody_tagged_is_not_listed() -> None:
    assert compared([], [], 60).states == {}


def test_only_the_passages_looked_at_twice_count() -> None:
    found = compared(GAITS_A, GAITS_B, passages=[span(110, 130), span(500, 520)]).states["gait"]
    assert found.table.total == 40
    assert found.table.cells[1] == (0, 5, 5, 0)[: len(found.table.codes)]


def test_a_tolerance_does_not_reach_into_footage_that_was_not_looked_at_twice() -> None:
    # The walk that the second look tagged before 100 s lies outside the passage.
    first, second = row(("walk", 101), ("trot", 19)), row(("walk", 100), ("trot", 20))
    assert gait(first, second, 120, passages=[span(100, 120)]).units.agree_within(ns(1)) == 19


def test_passages_that_overlap_are_counted_once() -> None:
    found = gait(GAITS_A, GAITS_B, passages=[span(100, 200), span(150, 250)])
    assert found.table.total == 150


def test_no_footage_in_common_is_refused() -> None:
    with pytest.raises(Trouble, match="No footage"):
        compared(GAITS_A, GAITS_B, passages=[])


def test_a_look_that_contradicts_itself_is_refused() -> None:
    with pytest.raises(TagTrouble):
        gait([state("walk", 0, 20), state("trot", 10, 30)], [], 60)


def test_the_onset_of_each_state_is_matched_like_an_instant() -> None:
    first = row(("walk", 20), ("trot", 20), ("lope", 20))
    second = row(("walk", 20.4), ("trot", 20), ("walk", 19.6))
    onsets = gait(first, second, 60).onsets
    assert onsets is not None
    assert [pair.first.what for pair in onsets.pairs] == ["trot"]
    assert onsets.mean_late_ns == ns(0.4)
    assert [tag.what for tag in (*onsets.only_first, *onsets.only_second)] == ["lope", "walk"]


def test_coming_into_view_and_the_start_of_a_passage_are_no_onsets() -> None:
    tags = [state("walk", 0, 60), state("out_of_sight", 10, 20)]
    onsets = gait(tags, tags, 60, passages=[span(5, 60)]).onsets
    assert onsets is not None
    assert onsets.agreement is None


ROWS = row_of(("stand", "walk", "trot", "out_of_sight"))


@given(ROWS, ROWS)
def test_exact_time_and_units_agree_where_all_is_cut_at_whole_seconds(
    first: list[Tag], second: list[Tag]
) -> None:
    for group in compared(first, second, 60).states.values():
        assert tuple(tuple(cell * ns(1) for cell in r) for r in group.table.cells) == group.exact.cells
        assert group.exact.total == group.said.compared.length_ns


@given(ROWS, ROWS)
def test_a_wider_tolerance_never_agrees_less(first: list[Tag], second: list[Tag]) -> None:
    for group in compared(first, second, 60).states.values():
        within = [group.units.agree_within(ns(seconds)) for seconds in (0, 1, 2, 5, 60)]
        assert within == sorted(within)
        assert within[0] == group.table.agreed


@given(ROWS)
def test_a_look_agrees_with_itself(tags: list[Tag]) -> None:
    for group in compared(tags, tags, 60).states.values():
        assert group.table.kappa in (1, None)
        assert group.table.agreed == group.table.total
