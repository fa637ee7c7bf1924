"""The work line as told: steps, breaks, spikes and shades, without geometry."""

from __future__ import annotations

import itertools
from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S, Span, Spans
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from annotate.workline import WorkLine, work_line

SHEET = default_sheet()
S = NS_PER_S


def state(what: str, start_s: int, end_s: int, **more: object) -> Tag:
    return Tag(what, start_s * S, end_s * S, **more)  # type: ignore[arg-type]


def event(what: str, at_s: int, **more: object) -> Tag:
    return Tag(what, at_s * S, **more)  # type: ignore[arg-type]


def session(length_s: int = 600, clips: tuple[PlacedClip, ...] = ()) -> Session:
    return Session(1, "Biscuit", date(2026, 5, 1), clips=clips, length_ns=length_s * S)


def told(*tags: Tag, length_s: int = 600) -> WorkLine:
    return work_line(session(length_s), tags, SHEET)


def clip(number: int, start_s: int, end_s: int) -> PlacedClip:
    return PlacedClip(number, start_s * S, Fraction(1, 1000), 0, (end_s - start_s) * 1000)


def worked_session() -> list[Tag]:
    """Ten minutes with every gait but gallop, one stretch out of sight and six spooks."""
    return [
        state("stand", 0, 60),
        state("walk", 60, 180),
        state("trot", 180, 300),
        state("walk", 300, 330),
        state("out_of_sight", 330, 390),
        state("trot", 390, 480),
        state("lope", 480, 540),
        state("walk", 540, 600),
        state("left_rein", 60, 330),
        state("right_rein", 390, 600),
        *(event("spook", at) for at in (100, 210, 250, 400, 430, 500)),
        *(event("calm", at) for at in (108, 222, 265, 450)),
    ]


def test_height_is_the_gait_and_side_is_the_rein() -> None:
    line = told(*worked_session())
    steps = [(s.start_ns // S, s.end_ns // S, s.gait, s.level, s.side) for s in line.steps]
    assert steps == [
        (0, 60, "stand", 0, "unknown"),
        (60, 180, "walk", 1, "above"),
        (180, 300, "trot", 2, "above"),
        (300, 330, "walk", 1, "above"),
        (390, 480, "trot", 2, "below"),
        (480, 540, "lope", 3, "below"),
        (540, 600, "walk", 1, "below"),
    ]


def test_a_change_of_rein_parts_a_gait_and_keeps_its_tag() -> None:
    trot = state("trot", 0, 60)
    line = told(trot, state("left_rein", 0, 20), state("right_rein", 30, 60))
    assert [(s.start_ns // S, s.side, s.tag_id) for s in line.steps] == [
        (0, "above", trot.id),
        (20, "unknown", trot.id),
        (30, "below", trot.id),
    ]


def test_backing_and_gallop_have_their_own_place() -> None:
    line = told(state("back", 0, 5), state("gallop", 5, 9))
    assert [(s.gait, s.level) for s in line.steps] == [("back", 0), ("gallop", 4)]


def test_out_of_sight_breaks_a_gait_that_was_tagged_over_it() -> None:
    line = told(state("trot", 0, 100), state("left_rein", 0, 100), state("out_of_sight", 40, 50))
    assert [(s.start_ns // S, s.end_ns // S) for s in line.steps] == [(0, 40), (50, 100)]
    assert [(r.start_ns // S, r.end_ns // S) for r in line.reins] == [(0, 40), (50, 100)]
    assert [(b.start_ns // S, b.end_ns // S) for b in line.breaks] == [(40, 50)]


def test_time_without_a_clip_is_a_gap_and_not_untagged() -> None:
    of_two_clips = session(0, (clip(1, 0, 100), clip(2, 150, 200)))
    line = work_line(of_two_clips, [state("walk", 0, 160)], SHEET)
    assert line.gaps == (Span(100 * S, 150 * S),)
    assert line.untagged == (Span(160 * S, 200 * S),)
    assert [(s.start_ns // S, s.end_ns // S) for s in line.steps] == [(0, 100), (150, 160)]


def test_what_was_seen_without_a_gait_is_untagged() -> None:
    line = told(state("walk", 10, 20), state("out_of_sight", 30, 40), length_s=50)
    assert line.untagged == (Span(0, 10 * S), Span(20 * S, 30 * S), Span(40 * S, 50 * S))


def test_a_spike_stands_on_the_line_as_high_as_it_was_severe() -> None:
    line = told(state("lope", 0, 60), state("right_rein", 0, 60), event("buck", 30, severity=3))
    (spike,) = line.spikes
    assert (spike.what, spike.severity, spike.height, spike.level, spike.side) == ("buck", 3, 3, 3, "below")


def test_a_spike_without_severity_is_the_least_and_says_so() -> None:
    (spike,) = told(event("spook", 30)).spikes
    assert (spike.severity, spike.height, spike.side) == (None, 1, "unknown")


def test_shades_reach_to_calm_or_to_where_they_were_cut_short() -> None:
    shades = told(*worked_session()).shades
    assert [(s.start_ns // S, s.end_ns // S, s.settled) for s in shades] == [
        (100, 108, True),
        (210, 222, True),
        (250, 265, True),
        (400, 430, False),
        (430, 450, True),
        (500, 600, False),
    ]
    assert not any(shade.running for shade in shades)


def test_going_out_of_sight_cuts_a_shade_short() -> None:
    (shade,) = told(event("spook", 10), state("out_of_sight", 20, 40), event("calm", 50)).shades
    assert (shade.end_ns // S, shade.settled) == (20, False)


def test_while_states_run_an_open_shade_ends_where_watching_does() -> None:
    line = told(state("trot", 0, 30, running=True), event("spook", 12))
    assert line.steps[-1].running
    (shade,) = line.shades
    assert (shade.end_ns // S, shade.settled, shade.running) == (30, False, True)


def test_only_the_last_piece_of_a_running_gait_runs() -> None:
    trot = state("trot", 0, 40, running=True)
    line = told(trot, state("left_rein", 0, 20), state("right_rein", 20, 40, running=True))
    assert [step.running for step in line.steps] == [False, True]


def test_instants_are_sorted_into_turns_asks_calm_and_signs() -> None:
    line = told(
        event("turn_in", 1), event("turn_out", 2), event("cluck", 3), event("calm", 4), event("snort", 5)
    )
    assert [mark.what for mark in line.turns] == ["turn_in", "turn_out"]
    assert [mark.what for mark in line.asks] == ["cluck"]
    assert [mark.what for mark in line.calms] == ["calm"]
    assert [mark.what for mark in line.signs] == ["snort"]


def test_stimuli_that_overlap_take_a_row_each() -> None:
    line = told(state("flag_on", 0, 30), state("bag_on", 10, 20), state("whip_on", 30, 40))
    (lane,) = line.lanes
    assert (lane.group, lane.rows) == ("stimulus", 2)
    assert [(bar.what, bar.row) for bar in lane.bars] == [("flag_on", 0), ("bag_on", 1), ("whip_on", 0)]


def test_lanes_come_as_stimulus_tack_pressure_then_the_rest() -> None:
    line = told(
        state("left_lead", 0, 9), state("pressure_firm", 0, 9), state("saddle", 0, 9), state("bag_on", 0, 9)
    )
    assert [lane.group for lane in line.lanes] == ["stimulus", "tack", "pressure", "lead"]
    assert (line.lanes[2].bars[0].level, line.lanes[2].levels) == (2, 4)


def test_a_behaviour_that_is_not_on_the_sheet_is_left_out() -> None:
    line = told(state("levade", 0, 9), event("wink", 3))
    assert (line.steps, line.signs, line.lanes) == ((), (), ())


def test_an_empty_session_has_an_empty_line() -> None:
    line = told(length_s=0)
    assert (line.end_ns, line.untagged, line.gaps) == (0, (), ())


@given(
    st.lists(st.integers(0, 120), min_size=2, max_size=12, unique=True).map(sorted),
    st.lists(st.integers(0, 120), min_size=2, max_size=8, unique=True).map(sorted),
    st.lists(st.integers(0, 120), min_size=2, max_size=6, unique=True).map(sorted),
)
def test_steps_breaks_and_untagged_share_out_the_session(
    gaits: list[int], reins: list[int], gone: list[int]
) -> None:
    cycle = ("walk", "trot", "lope")
    tags = [
        *(state(cycle[i % 3], a, b) for i, (a, b) in enumerate(itertools.pairwise(gaits)) if i % 4),
        *(
            state(("left_rein", "right_rein")[i % 2], a, b)
            for i, (a, b) in enumerate(itertools.pairwise(reins))
        ),
        *(state("out_of_sight", a, b) for a, b in zip(gone[::2], gone[1::2], strict=False)),
    ]
    line = told(*tags, length_s=120)
    parts = [
        *(Span(s.start_ns, s.end_ns) for s in line.steps),
        *(Span(b.start_ns, b.end_ns) for b in line.breaks),
        *line.untagged,
    ]
    assert sum(part.length_ns for part in parts) == 120 * S
    assert Spans(parts) == Spans([Span(0, 120 * S)])
