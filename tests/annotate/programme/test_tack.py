from __future__ import annotations

import pytest

from annotate.clock import NS_PER_S
from annotate.programme.steps import Saddling, TackOrder
from annotate.programme.tack import breaks
from annotate.tags import Tag
from tests.annotate.programme.horse import Tags, day, found, record, shown
from tests.annotate.tagged import state

BOTH_SHOWN = (shown(10, "left", "saddle_shown"), shown(20, "right", "saddle_shown"))
SADDLE = state("saddle", 50, 400, side="left")
FRONT = state("front_cinch", 100, 300)


def broken(*days: Tags, saddling: Saddling = Saddling()) -> list[tuple[float, str]]:  # noqa: B008
    """The moments of the last day, in seconds."""
    works = record(*(day(number, *tags) for number, tags in enumerate(days))).works
    return [(one.start_ns / 1e9, one.words) for one in breaks(works, len(works) - 1, saddling)]


def test_front_first_on_and_last_off_breaks_nothing() -> None:
    tags = (*BOTH_SHOWN, SADDLE, FRONT, state("back_cinch", 110, 290), state("breast_collar", 120, 280))
    assert broken(tags) == []


def test_cinches_that_go_on_and_come_off_at_the_same_instant_break_nothing() -> None:
    assert broken((FRONT, state("back_cinch", 100, 300))) == []


@pytest.mark.parametrize(
    ("tack", "title"), [("back_cinch", "back cinch"), ("breast_collar", "breast collar")]
)
def test_what_goes_on_before_the_front_cinch_is_flagged_when_it_does(tack: str, title: str) -> None:
    assert broken((FRONT, state(tack, 90, 290))) == [(90, f"{title} on before the front cinch")]


@pytest.mark.parametrize(
    ("tack", "title"), [("back_cinch", "back cinch"), ("breast_collar", "breast collar")]
)
def test_the_front_cinch_off_first_is_flagged_at_that_moment(tack: str, title: str) -> None:
    assert broken((FRONT, state(tack, 110, 320))) == [(300, f"front cinch off before the {title}")]


def test_a_front_cinch_undone_in_between_is_flagged() -> None:
    tags = (state("front_cinch", 100, 150), state("front_cinch", 160, 300), state("back_cinch", 110, 290))
    assert broken(tags) == [(150, "front cinch off before the back cinch")]


def test_a_front_cinch_tagged_in_pieces_that_touch_is_one() -> None:
    tags = (state("front_cinch", 100, 150), state("front_cinch", 150, 300), state("back_cinch", 110, 290))
    assert broken(tags) == []


def test_out_of_sight_takes_no_tack_off() -> None:
    assert broken((FRONT, state("back_cinch", 110, 290), state("out_of_sight", 150, 200))) == []


def test_a_back_cinch_without_any_front_cinch_is_flagged() -> None:
    assert broken((state("back_cinch", 90, 200),)) == [(90, "back cinch on before the front cinch")]


@pytest.mark.parametrize(
    ("seen", "lacking"), [(BOTH_SHOWN[:1], ["right"]), (BOTH_SHOWN[1:], ["left"]), ((), ["left", "right"])]
)
def test_both_sides_are_shown_before_the_saddle_first_goes_on(seen: Tags, lacking: list[str]) -> None:
    words = [(50, f"saddle on before it was shown on the {side}") for side in lacking]
    assert broken((*seen, SADDLE)) == words


def test_what_was_shown_on_an_earlier_day_counts() -> None:
    assert broken(BOTH_SHOWN, (SADDLE,)) == []


def test_what_is_shown_after_the_saddle_went_on_comes_too_late() -> None:
    late = (shown(60, "left", "saddle_shown"), shown(70, "right", "saddle_shown"))
    assert len(broken((*late, SADDLE))) == 2


def test_only_the_very_first_saddling_has_to_be_shown_before() -> None:
    assert broken((*BOTH_SHOWN, SADDLE), (SADDLE,)) == []


def test_a_saddle_that_was_on_when_filming_began_is_no_saddling() -> None:
    assert broken((state("saddle", 0, 400, side="right"),)) == []


RIGHT = Tag("saddle", 50 * 10**9, 400 * 10**9, side="right")


def test_the_first_saddlings_are_from_the_side_that_the_trainer_chose() -> None:
    words = [(50, "saddled from the right where the programme says left")]
    assert broken((*BOTH_SHOWN, RIGHT)) == words
    assert broken((*BOTH_SHOWN, RIGHT), saddling=Saddling("right")) == []


def test_after_the_first_saddlings_either_side_is_right() -> None:
    before = (*BOTH_SHOWN, SADDLE)
    assert broken(before, (RIGHT,), saddling=Saddling("left", 1)) == []
    assert len(broken(before, (RIGHT,), saddling=Saddling("left", 2))) == 1


def test_a_saddling_without_a_side_is_not_judged() -> None:
    assert broken((*BOTH_SHOWN, state("saddle", 50, 400))) == []


@pytest.mark.parametrize("note", ["loose", "not tied", "snug but untied"])
def test_a_back_cinch_that_hangs_loose_or_is_not_tied_is_flagged_at_that_moment(note: str) -> None:
    assert broken((FRONT, state("back_cinch", 110, 290, note=note))) == [(110, "back cinch not snug and tied")]


def test_a_back_cinch_noted_as_snug_and_tied_breaks_nothing() -> None:
    assert broken((FRONT, state("back_cinch", 110, 290, note="snug and tied"))) == []


def test_a_criterion_may_ask_that_the_note_says_tied() -> None:
    asks = TackOrder("order", tied=True)
    silent = found(asks, day(0, FRONT, state("back_cinch", 110, 290)))
    assert silent.missing == (
        "back cinch not noted as tied at 1:50.0, 4 May 2026: write 'tied' into its note"
    )
    assert [one.start_ns // NS_PER_S for one in silent.evidence] == [110]
    assert found(asks, day(0, FRONT, state("back_cinch", 110, 290, note="tied"))).state == "met"
    assert found(asks, day(0, FRONT)).state == "met"
    assert found(TackOrder("order"), day(0, FRONT, state("back_cinch", 110, 290))).state == "met"
