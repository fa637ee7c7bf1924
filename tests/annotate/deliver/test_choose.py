from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.clock import Spans
from annotate.deliver.choose import choose_passages
from annotate.deliver.rules import Rules
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

SHEET = default_sheet()
S = 1_000_000_000
SESSION = Session(1, "Bramble", date(2026, 5, 4), length_ns=600 * S)


def state(what: str, start: float, end: float) -> Tag:
    return Tag(what, round(start * S), round(end * S))


def event(what: str, start: float, severity: int | None = None, stimulus: str = "") -> Tag:
    return Tag(what, round(start * S), severity=severity, stimulus=stimulus)


def chosen(*tags: Tag, session: Session = SESSION) -> list[tuple[float, float, str]]:
    return [(p.start_ns / S, p.end_ns / S, p.caption) for p in choose_passages(session, tags, SHEET)]


def test_nothing_tagged_gives_nothing_to_show() -> None:
    assert chosen() == []


def test_a_reaction_is_shown_with_its_recovery_and_a_little_more() -> None:
    assert chosen(event("spook", 100, 3, "flag"), event("calm", 112)) == [
        (97, 114, "Spook at the flag, severity 3, calm after 12 s")
    ]


@pytest.mark.parametrize("severity", [None, 1])
def test_a_mild_reaction_is_not_shown(severity: int | None) -> None:
    assert chosen(event("spook", 100, severity), event("calm", 112)) == []


def test_a_reaction_without_calm_is_shown_for_half_a_minute() -> None:
    assert chosen(event("buck", 100, 2)) == [(97, 132, "Buck, severity 2, not calm before the session ended")]


def test_a_reaction_that_went_out_of_sight_is_shown_up_to_there() -> None:
    assert chosen(event("spook", 100, 2), state("out_of_sight", 110, 200)) == [
        (97, 110, "Spook, severity 2, not calm before it went out of sight")
    ]


def test_reactions_that_overlap_are_one_passage_with_both_captions() -> None:
    assert chosen(event("spook", 100, 2), event("buck", 104, 4), event("calm", 110)) == [
        (
            97,
            112,
            "Spook, severity 2, not calm before the next reaction; Buck, severity 4, calm after 6 s",
        )
    ]


def test_passages_that_only_touch_stay_apart() -> None:
    tags = [event("spook", 100, 2), event("calm", 105), event("spook", 110, 2), event("calm", 112)]
    assert [passage[:2] for passage in chosen(*tags)] == [(97, 107), (107, 114)]


def test_what_was_out_of_sight_is_not_shown() -> None:
    tags = [event("spook", 100, 4), event("turn_in", 105), state("out_of_sight", 90, 200)]
    assert chosen(*tags) == []


def test_the_longest_lope_on_each_rein_is_shown() -> None:
    tags = [
        state("left_rein", 0, 300),
        state("right_rein", 300, 600),
        state("lope", 20, 30),
        state("lope", 50, 80),
        state("lope", 290, 320),
    ]
    assert chosen(*tags) == [
        (47, 82, "Lope on the left rein, 30 s"),
        (297, 322, "Lope on the right rein, 20 s"),
    ]


def test_without_a_lope_on_a_rein_the_longest_trot_is_shown() -> None:
    tags = [
        state("left_rein", 0, 300),
        state("right_rein", 300, 600),
        state("lope", 50, 60),
        state("trot", 100, 200),
        state("trot", 400, 415),
    ]
    assert chosen(*tags) == [
        (47, 62, "Lope on the left rein, 10 s"),
        (397, 417, "Trot on the right rein, 15 s"),
    ]


def test_one_turn_each_way_is_shown() -> None:
    tags = [
        state("left_rein", 0, 100),
        state("right_rein", 100, 200),
        state("walk", 0, 600),
        event("turn_in", 100),
        event("turn_out", 300),
        event("turn_in", 400),
    ]
    turns = [passage for passage in chosen(*tags) if "Turn" in passage[2]]
    assert turns == [
        (97, 102, "Turn in at walk, from the left rein to the right rein"),
        (297, 302, "Turn out at walk"),
    ]


def test_a_passage_stays_within_what_was_observed() -> None:
    base = Fraction(1, 1000)
    clips = (PlacedClip(1, 10 * S, base, 0, 10_000), PlacedClip(2, 50 * S, base, 0, 10_000))
    session = Session(1, "Bramble", date(2026, 5, 4), clips=clips)
    tags = [event("spook", 11, 2), event("spook", 19, 2), event("turn_in", 50), event("spook", 30, 4)]
    assert [passage[:2] for passage in chosen(*tags, session=session)] == [(10, 20), (50, 52)]


def test_what_leads_in_and_out_ends_where_the_horse_goes_out_of_sight() -> None:
    tags = [state("left_rein", 0, 60), state("lope", 20, 40), state("out_of_sight", 40, 50)]
    tags += [event("turn_in", 51), state("out_of_sight", 52, 55)]
    assert [passage[:2] for passage in chosen(*tags)] == [(17, 40), (50, 52)]


def test_an_exposure_that_goes_behind_something_is_shown_to_its_end() -> None:
    tags = [state("flag_on", 10, 30), state("out_of_sight", 18, 22)]
    assert [passage[:2] for passage in chosen(*tags)] == [(7, 32)]


def test_positions_follow_time() -> None:
    tags = [event("turn_in", 300), event("spook", 100, 2), event("calm", 110)]
    passages = choose_passages(SESSION, tags, SHEET)
    assert [passage.position for passage in passages] == [0, 1]
    assert passages[0].start_ns < passages[1].start_ns


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["spook", "buck", "calm", "turn_in", "turn_out"]),
            st.integers(0, 599),
            st.sampled_from([None, 1, 2, 3, 4]),
        ),
        max_size=20,
    )
)
def test_whatever_is_tagged_the_passages_are_apart_observed_and_captioned(
    events: list[tuple[str, int, int | None]],
) -> None:
    passages = choose_passages(SESSION, [event(*one) for one in events], SHEET)
    spans = [passage.span for passage in passages]
    assert sum(span.length_ns for span in spans) == (Spans(spans) & SESSION.observed).length_ns
    assert all(passage.caption for passage in passages)
    for what, start, severity in events:
        if what in ("spook", "buck") and (severity or 0) >= 2:
            assert any(span.holds(start * S) for span in spans)


def test_the_longest_lope_is_the_longest_quiet_one() -> None:
    tags = [
        state("left_rein", 0, 600),
        state("lope", 100, 200),
        event("spook", 130, 1),
        event("calm", 180),
        state("lope", 300, 325),
    ]
    assert [passage[:2] for passage in chosen(*tags) if "Lope" in passage[2]] == [(97, 132)]


def test_the_first_and_the_last_exposure_to_each_stimulus_are_shown() -> None:
    tags = [
        replace(state("flag_on", 10, 20), side="left"),
        state("flag_on", 100, 110),
        state("flag_on", 200, 210),
        event("spook", 205, 1),
        state("saddle_shown", 300, 400),
    ]
    assert chosen(*tags) == [
        (7, 22, "First exposure to the flag on the left, no reaction"),
        (197, 212, "Last exposure to the flag, severity 1"),
        (297, 332, "Exposure to the saddle shown, no reaction"),
    ]


def test_an_exposure_out_of_sight_is_not_shown() -> None:
    tags = [state("flag_on", 10, 20), state("out_of_sight", 5, 30), state("flag_on", 100, 110)]
    assert [passage[2] for passage in chosen(*tags)] == ["Exposure to the flag, no reaction"]


def test_the_best_turn_has_no_reaction_after_it_and_keeps_the_gait() -> None:
    tags = [
        state("left_rein", 0, 100),
        state("right_rein", 100, 200),
        state("left_rein", 200, 300),
        state("right_rein", 300, 600),
        state("trot", 0, 200),
        state("walk", 200, 600),
        event("turn_out", 100),
        event("spook", 102, 1),
        event("turn_out", 200),
        event("turn_out", 300),
    ]
    assert [passage[2] for passage in chosen(*tags) if "Turn" in passage[2]] == [
        "Turn out at walk, from the left rein to the right rein"
    ]


def test_rules_can_be_left_out_and_set() -> None:
    tags = [event("spook", 100, 3), event("calm", 104), event("turn_in", 300), event("buck", 200, 2)]
    rules = Rules(lead_in_ns=S, lead_out_ns=0, least_severity=3, turns=False)
    passages = choose_passages(SESSION, tags, SHEET, rules)
    assert [(p.start_ns / S, p.end_ns / S) for p in passages] == [(99, 104)]


def test_what_does_not_fit_is_left_out_the_mildest_first() -> None:
    tags = [
        event("spook", 100, 2),
        event("calm", 105),
        event("buck", 200, 4),
        event("calm", 205),
        event("turn_in", 300),
    ]
    passages = choose_passages(SESSION, tags, SHEET, Rules(total_ns=16 * S))
    assert [p.caption[:4] for p in passages] == ["Buck", "Turn"]
