"""Cutting a session in two, and playing it slower: nothing is lost and everything scales."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import INSTANTS, LENGTH, clip, sessions, tag_lists
from tests.annotate.numbers.worked_session import DAY

SHEET = default_sheet()


def times(numbers: SessionNumbers) -> Counter[str]:
    """Every figure that is a time or a count of its own and so must add up."""
    found = Counter(
        length=numbers.length_ns,
        out_of_sight=numbers.out_of_sight_ns,
        visible=numbers.visible_ns,
        moving=numbers.moving_ns,
        untagged=numbers.untagged_ns,
        gaps=numbers.gaps_ns,
        left=numbers.rein.left_ns,
        right=numbers.rein.right_ns,
        reactions=numbers.reactions.count,
        seen=numbers.reactions.seen.count,
        seen_left=numbers.reactions.left.count,
        no_rein=numbers.reactions.no_rein,
        correct=numbers.leads.whole.correct_ns,
        wrong=numbers.leads.whole.wrong_ns,
        turns=numbers.direction_changes.turn_in + numbers.direction_changes.turn_out,
    )
    for name, gait in numbers.gaits.items():
        found[f"{name}"] = gait.time_ns
        found[f"{name} left"] = gait.left_ns
        found[f"{name} right"] = gait.right_ns
    for name, rate in numbers.reactions.by_gait.items():
        found[f"reactions at {name}"] = rate.count
    for (gait_name, side), part in numbers.load.parts.items():
        found[f"load {gait_name} {side}"] = part.time_ns
    return found


def halves(session: Session, tags: list[Tag], at_ns: int) -> tuple[SessionNumbers, SessionNumbers]:
    """The session before an instant and after it, each on a clock of its own."""
    before = [span for span in session.observed if span.start_ns < at_ns]
    after = [span for span in session.observed if span.end_ns > at_ns]
    first = replace(
        session,
        clips=tuple(clip(n, s.start_ns, min(s.end_ns, at_ns)) for n, s in enumerate(before)),
        length_ns=min(at_ns, session.end_ns),
    )
    second = replace(
        session,
        clips=tuple(clip(n, max(s.start_ns, at_ns) - at_ns, s.end_ns - at_ns) for n, s in enumerate(after)),
        length_ns=max(0, session.end_ns - at_ns),
    )
    early, late = [], []
    for tag in tags:
        if tag.end_ns is None:
            (early if tag.start_ns < at_ns else late).append(tag)
            continue
        if tag.start_ns < at_ns:
            early.append(replace(tag, end_ns=min(tag.end_ns, at_ns)))
        if tag.end_ns > at_ns:
            late.append(replace(tag, start_ns=max(tag.start_ns, at_ns)))
    moved = [
        replace(tag, start_ns=tag.start_ns - at_ns, end_ns=None if tag.end_ns is None else tag.end_ns - at_ns)
        for tag in late
    ]
    return session_numbers(first, early, SHEET), session_numbers(second, moved, SHEET)


@given(sessions(), tag_lists(), INSTANTS)
def test_the_halves_of_a_session_add_up_to_the_whole(session: Session, tags: list[Tag], at_ns: int) -> None:
    # A half without any clip would be a session without clips, which is observed for all of its length.
    assume(any(span.start_ns < at_ns for span in session.observed))
    assume(any(span.end_ns > at_ns for span in session.observed))
    whole = times(session_numbers(session, tags, SHEET))
    one, other = halves(session, tags, at_ns)
    parts = times(one)
    parts.update(times(other))
    assert {name: value for name, value in parts.items() if value} == {
        name: value for name, value in whole.items() if value
    }


@given(tag_lists(), st.sampled_from((2, 4, 8)))
def test_slow_motion_divides_every_duration(tags: list[Tag], speed: int) -> None:
    usual = PlacedClip(1, 0, Fraction(1, 1000), 0, LENGTH * 1000)
    slow = replace(usual, capture_speed=Fraction(speed))
    assume(all(ns % (1_000_000 * speed) == 0 for tag in tags for ns in (tag.start_ns, tag.end_ns or 0)))

    def on(placed: PlacedClip) -> SessionNumbers:
        """The same frames tagged, on the clock of that clip."""
        placed_tags = [
            replace(
                tag,
                start_ns=placed.session_ns(tag.start_ns // 1_000_000),
                end_ns=None if tag.end_ns is None else placed.session_ns(tag.end_ns // 1_000_000),
            )
            for tag in tags
        ]
        return session_numbers(Session(1, "Juniper", DAY, clips=(placed,)), placed_tags, SHEET)

    one, slower = on(usual), on(slow)
    counts = {name for name in times(one) if name.startswith(("reactions", "seen", "no_rein", "turns"))}
    for name, value in times(one).items():
        assert times(slower)[name] * (1 if name in counts else speed) == value, name
    recoveries = [recovery.time_ns for recovery in one.recovery.each]
    assert [recovery.time_ns * speed for recovery in slower.recovery.each] == recoveries
    assert [lap.time_ns * speed for lap in slower.laps.each] == [lap.time_ns for lap in one.laps.each]
    for name, shown in one.exposures.items():
        lengths = [exposure.span.length_ns for exposure in shown.each]
        assert [exposure.span.length_ns * speed for exposure in slower.exposures[name].each] == lengths


def test_ten_seconds_of_the_horse_filmed_eight_times_slower_are_ten_seconds() -> None:
    placed = PlacedClip(1, 0, Fraction(1, 30), 0, 2400, capture_speed=Fraction(8))
    numbers = session_numbers(
        Session(1, "Juniper", DAY, clips=(placed,)), [Tag("trot", 0, placed.session_ns(2400))], SHEET
    )
    assert numbers.gaits["trot"].time_ns == 10 * NS_PER_S


def test_strides_laps_and_answers_in_slow_motion_are_those_of_the_horse() -> None:
    placed = PlacedClip(1, 0, Fraction(1, 30), 0, 2400, capture_speed=Fraction(4))

    def at(frame: int) -> int:
        return placed.session_ns(frame)

    tags = [
        Tag("trot", 0, at(1920)),
        Tag("lope", at(1920), at(2400)),
        Tag("left_rein", 0, at(2400)),
        *(Tag("stride", at(84 * place)) for place in range(1, 8)),
        *(Tag("lap", at(frame)) for frame in (100, 1900)),
        Tag("kiss", at(1800)),
    ]
    session = Session(1, "Juniper", DAY, clips=(placed,), details={"line_m": "8"})
    numbers = session_numbers(session, tags, SHEET)
    trot = numbers.ground.by_gait["trot"]
    # Written 84 frames, or 2.8 s, apart, the strides took 0.7 s each; the lap 60 s of the file, 15 of the horse.
    assert trot.strides_per_s == Fraction(10, 7)
    assert trot.speed_m_s == pytest.approx(16 * math.pi / 15)
    assert numbers.responses.curve.median_ns == NS_PER_S
    assert not numbers.doubts
