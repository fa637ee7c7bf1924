from __future__ import annotations

from annotate.agreement.doubt import doubts, largest, proves_nothing, with_doubts
from annotate.numbers.in_words import in_words
from annotate.numbers.wording import Line
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, SPOOKS_A, looked, row, span
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, event, numbers_of


def test_each_figure_is_counted_over_the_footage_looked_at_twice() -> None:
    found = doubts(looked(GAITS_A, GAITS_B, passages=[span(100, 160)]))["gait.walk.seconds"]
    assert (found.first, found.second, found.difference) == (20, 15, -5)
    assert found.words == "your own second look differed by 5 s"


def test_what_adds_up_is_carried_over_to_the_whole_session() -> None:
    found = doubts(looked(GAITS_A, GAITS_B, passages=[span(100, 160)]))
    assert found["gait.walk.seconds"].over_session == 50
    share = found["gait.walk.share"]
    assert share.over_session == share.first - share.second


def test_a_second_look_that_gave_the_same_says_so() -> None:
    found = doubts(looked(GAITS_A, GAITS_A))["gait.walk.seconds"]
    assert found.words == "your own second look gave the same"


def test_a_second_look_is_its_maker_s_where_a_name_was_given() -> None:
    found = doubts(looked(GAITS_A, GAITS_B, passages=[span(100, 160)]), "Kim")["gait.walk.seconds"]
    assert found.words == "the second look by Kim differed by 5 s"


def test_of_several_second_looks_none_is_called_one_s_own_where_a_name_was_given() -> None:
    own, named = (doubts(looked(GAITS_A, GAITS_B, passages=[span(100, 160)]), who) for who in ("", "Kim"))
    both, unnamed = largest([own, named])["gait.walk.seconds"], largest([own, own])["gait.walk.seconds"]
    assert both.words == "the 2 second looks differed by up to 5 s"
    assert unnamed.words == "your own 2 second looks differed by up to 5 s"


def test_instants_outside_the_footage_are_in_no_count() -> None:
    found = doubts(looked(SPOOKS_A, [], passages=[span(0, 30)]))["reactions.count"]
    assert (found.first, found.second) == (2, 0)


def test_a_kind_that_only_one_look_has_counts_as_none_in_the_other() -> None:
    found = doubts(looked([event("shy", 10)], []))["reactions.by_kind.shy"]
    assert (found.first, found.second) == (1, 0)


def test_a_figure_that_one_look_does_not_define_has_no_doubt() -> None:
    assert "gait.walk.mean_bout_s" not in doubts(looked(row(("walk", 60)), row(("trot", 60))))


def test_the_lines_of_a_session_say_how_far_the_second_look_differed() -> None:
    lines = in_words(numbers_of(WORKED, *WORKED_TAGS))
    noted = with_doubts(lines, doubts(looked(WORKED_TAGS, WORKED_TAGS[1:])))
    by_key = {line.key: line for line in noted}
    assert by_key["gait.stand"].note.endswith("your own second look differed by 1 min")
    assert by_key["gait.walk"].note.endswith("your own second look gave the same")


def test_a_line_without_a_second_look_stays_as_it_is() -> None:
    line = Line("seconds.length", "Observed", "10 min")
    assert with_doubts([line], {}) == (line,)


def test_a_difference_between_sessions_no_larger_than_that_proves_nothing() -> None:
    found = doubts(looked(GAITS_A, GAITS_B))
    assert proves_nothing("gait.walk.seconds", 120, 125, found, {}) is True
    assert proves_nothing("gait.walk.seconds", 120, 126, {}, found) is False


def test_without_a_second_look_nothing_is_known_about_it() -> None:
    assert proves_nothing("gait.walk.seconds", 120, 125, {}, {}) is None
