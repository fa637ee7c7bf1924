from __future__ import annotations

from dataclasses import replace

from annotate.numbers.limits import NO_LIMITS
from annotate.numbers.limits import Limits as WorkLimits
from annotate.programme.concerns import Concern
from annotate.programme.standing import standing
from annotate.programme.steps import Limits, TackOrder, Times
from annotate.programme.work import record_of
from annotate.sessions import Session
from tests.annotate.programme.horse import SHEET, WALKING, Tags, day, programme, reaction, shown
from tests.annotate.tagged import event, state

REINS = (state("left_rein", 0, 300), state("right_rein", 300, 600))
SOME = programme(Times("early", "turn_in", 1), TackOrder("late"))


def concerns(
    *sessions: tuple[Session, Tags], work: WorkLimits = NO_LIMITS, **limits: int
) -> dict[str, Concern]:
    made = replace(SOME, limits=Limits(**limits))
    known = record_of("Juniper", sessions, SHEET, work)
    return {one.key: one for one in standing(known, made, SHEET).concerns}


def places(concern: Concern) -> list[tuple[int, float]]:
    return [(moment.session_id, moment.start_ns / 1e9) for moment in concern.evidence]


def test_a_quiet_even_session_raises_none() -> None:
    assert concerns(day(0, *WALKING, *REINS)) == {}


def test_reactions_on_one_rein_only_are_one_sided_and_pain_is_possible() -> None:
    left = tuple(tag for at in (50, 100, 150, 200) for tag in reaction(at, 1))
    found = concerns(day(0, *WALKING, *REINS, *left))["one_sided"]
    assert (places(found), found.pain) == ([(1, 50), (1, 100), (1, 150), (1, 200)], True)
    assert found.words.startswith("4 reactions in 5.0 min on the left rein, 0 in 5.0 min on the other.")


def test_as_many_on_both_reins_are_not_one_sided() -> None:
    both = tuple(tag for at in (50, 100, 150, 200, 350, 400) for tag in reaction(at, 1))
    assert "one_sided" not in concerns(day(0, *WALKING, *REINS, *both))


def test_the_time_on_each_rein_is_allowed_for() -> None:
    """Four on a rein that was worked nine times as long are no more often."""
    reins = (state("left_rein", 0, 540), state("right_rein", 540, 600))
    tags = tuple(tag for at in (50, 100, 150, 200, 550) for tag in reaction(at, 1))
    assert "one_sided" not in concerns(day(0, *WALKING, *reins, *tags))


def test_what_chance_can_do_is_said() -> None:
    left = tuple(tag for at in (50, 100, 150, 200) for tag in reaction(at, 1))
    assert "Chance alone can do that." in concerns(day(0, *WALKING, *REINS, *left))["one_sided"].words


def test_a_reaction_soon_after_fastening_is_a_girth_reaction() -> None:
    found = concerns(day(0, *WALKING, state("surcingle", 100, 400), *reaction(159, 2)))["girth"]
    assert (places(found), found.pain) == ([(1, 159)], True)


def test_a_later_or_milder_reaction_is_none() -> None:
    worn = state("surcingle", 100, 400)
    assert "girth" not in concerns(day(0, *WALKING, worn, *reaction(161, 2)))
    assert "girth" not in concerns(day(0, *WALKING, worn, *reaction(120, 1)))


def test_pinned_ears_at_the_girth_count_whatever_the_severity() -> None:
    found = concerns(day(0, *WALKING, state("front_cinch", 100, 400), event("ears_pinned", 103)))
    assert places(found["girth"]) == [(1, 103)]


def test_a_hard_reaction_that_names_the_girth_counts_at_any_time() -> None:
    assert "girth" in concerns(day(0, *WALKING, *reaction(300, 2, stimulus="surcingle")))


def test_tack_that_was_on_from_the_start_was_not_fastened_then() -> None:
    assert "girth" not in concerns(day(0, *WALKING, state("surcingle", 0, 400), *reaction(20, 3)))


def test_reactions_that_come_oftener_each_time_are_rising() -> None:
    days = [
        day(n, *WALKING, *(tag for k in range(n + 1) for tag in reaction(50 + 20 * k, 1))) for n in range(3)
    ]
    found = concerns(*days)["rising"]
    assert (found.words, found.pain) == ("Reactions a minute: 0.1, 0.2, 0.3", True)
    assert {session for session, _ in places(found)} == {3}
    assert "rising" not in concerns(*days[:2])


def test_harder_from_exposure_to_exposure_is_rising() -> None:
    tags: Tags = ()
    for k, severity in enumerate((1, 1, 2, 3, 4)):
        tags += (shown(50 + 20 * k), *reaction(51 + 20 * k, severity))
    found = concerns(day(0, *WALKING, *tags))["rising"]
    assert found.words == "Flag, left: harder from exposure to exposure, over 5"


def test_a_step_up_in_grade_is_no_row_that_rises() -> None:
    tags: Tags = ()
    for k, severity in enumerate((1, 1, 2, 3, 4)):
        tags += (shown(50 + 20 * k, severity=1 + k // 2), *reaction(51 + 20 * k, severity))
    assert "rising" not in concerns(day(0, *WALKING, *tags))


def test_four_exposures_prove_no_trend() -> None:
    tags: Tags = ()
    for k, severity in enumerate((1, 2, 3, 4)):
        tags += (shown(50 + 20 * k), *reaction(51 + 20 * k, severity))
    assert "rising" not in concerns(day(0, *WALKING, *tags))


def test_work_over_the_trainers_limit_is_told_with_its_bouts() -> None:
    tags = (state("lope", 10, 40), state("gallop", 40, 45), state("lope", 100, 110))
    found = concerns(day(0, *tags), work=WorkLimits({"fast": 44 / 60}))["limit"]
    assert found.title == "Lope and gallop over the limit"
    assert (found.words, found.pain) == ("45 s of lope and gallop on 4 May 2026; the limit is 44 s", False)
    assert places(found) == [(1, 10), (1, 40), (1, 100)]
    assert "limit" not in concerns(day(0, *tags), work=WorkLimits({"fast": 45 / 60}))


def test_no_work_on_one_rein_is_told_of_the_latest_session() -> None:
    left_only = day(0, state("walk", 0, 100), state("left_rein", 0, 100))
    assert concerns(left_only)["one_rein"].title == "No work on the right rein"
    assert "one_rein" not in concerns(left_only, day(1, *WALKING, *REINS))


def test_a_broken_order_of_tack_is_told_with_the_moment() -> None:
    found = concerns(day(0, *WALKING, state("front_cinch", 100, 300), state("back_cinch", 90, 290)))
    assert places(found["tack_order"]) == [(1, 90)]


def test_a_step_worked_before_its_time_is_told() -> None:
    found = concerns(day(0, *WALKING, step="late"))["ahead"]
    assert found.words == "Worked on late with criteria open in: early"
    assert "ahead" not in concerns(day(0, *WALKING, step="early"))


def test_only_the_latest_sessions_are_looked_at() -> None:
    old = day(0, state("lope", 10, 400))
    much = WorkLimits({"fast": 5})
    assert "limit" in concerns(old, day(1, *WALKING), work=much, sessions_back=2)
    assert "limit" not in concerns(old, day(1, *WALKING), work=much, sessions_back=1)


def test_possible_pain_comes_first() -> None:
    tags = (state("lope", 0, 400), state("surcingle", 100, 400), *reaction(120, 3))
    known = record_of("Juniper", [day(0, *tags)], SHEET, WorkLimits({"fast": 5}))
    found = standing(known, SOME, SHEET).concerns
    assert [one.key for one in found] == ["girth", "limit"]
    assert [one.pain for one in found] == sorted((one.pain for one in found), reverse=True)
    assert found[0].key == "girth"
