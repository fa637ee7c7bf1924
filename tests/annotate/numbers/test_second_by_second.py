"""The numbers against a plain count, second by second, of sessions that are cut at whole seconds."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given

from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import LENGTH, REINS, sessions, tag_lists
from tests.annotate.numbers.worked_session import numbers_of

REACTIONS = ("spook", "buck")
Second = tuple[bool, str, str]


def seconds_of(session: Session, tags: list[Tag]) -> list[Second]:
    """For each second of a minute: whether the horse was visible, its gait and its rein."""
    told: list[Second] = []
    for second in range(LENGTH + 1):
        at_ns = second * NS_PER_S
        if session.clips:
            filmed = any(c.starts_ns <= at_ns < c.starts_ns + c.end_pts for c in session.clips)
        else:
            filmed = at_ns < session.length_ns
        on = [tag.what for tag in tags if tag.end_ns is not None and tag.start_ns <= at_ns < tag.end_ns]
        gait = next((name for name in on if name in ("stand", "walk", "trot", "lope", "back")), "")
        rein = next((name for name in on if name in REINS), "")
        told.append((filmed and "out_of_sight" not in on, gait, rein))
    return told


@given(sessions(), tag_lists())
def test_every_time_is_the_count_of_its_seconds(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, *tags)
    told = seconds_of(session, tags)

    def count(gait: str | None = None, rein: str | None = None) -> int:
        return NS_PER_S * sum(
            seen and gait in (None, its_gait) and rein in (None, its_rein)
            for seen, its_gait, its_rein in told
        )

    assert numbers.visible_ns == count()
    assert numbers.untagged_ns == count(gait="")
    assert numbers.moving_ns == count() - count(gait="") - count(gait="stand")
    assert numbers.rein.visible_left_ns == count(rein="left_rein")
    for name, gait in numbers.gaits.items():
        assert gait.time_ns == count(gait=name)
        assert (gait.left_ns, gait.right_ns) == (count(name, "left_rein"), count(name, "right_rein"))


@given(sessions(), tag_lists())
def test_bouts_and_transitions_are_those_that_the_seconds_show(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, *tags)
    told = seconds_of(session, tags)
    gaits = ["", *(gait if seen else "" for seen, gait, _ in told)]
    last = max((s for s, (seen, _, _) in enumerate(told) if seen), default=-1)
    end = numbers.length_ns + numbers.gaps_ns
    bouts, cuts, changes = dict.fromkeys(numbers.gaits, 0), dict.fromkeys(numbers.gaits, 0), 0
    for second, (before, now) in enumerate(pairwise(gaits)):
        if before != now:
            bouts[now] = bouts.get(now, 0) + bool(now)
            if before:
                hidden = not told[second][0] and not (second - 1 == last and second * NS_PER_S == end)
                cuts[before] += hidden
                changes += bool(now)
    assert {name: gait.bouts for name, gait in numbers.gaits.items()} == {n: bouts[n] for n in numbers.gaits}
    assert {name: gait.cut_bouts for name, gait in numbers.gaits.items()} == cuts
    assert numbers.transitions.count == changes


@given(sessions(), tag_lists())
def test_every_recovery_runs_to_the_first_thing_that_ends_it(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, *tags)
    told = seconds_of(session, tags)
    calms = {tag.start_ns // NS_PER_S for tag in tags if tag.what == "calm"}
    starts = sorted(tag.start_ns // NS_PER_S for tag in tags if tag.what in REACTIONS)
    expected: list[tuple[int, bool]] = []
    for start in starts:
        if not told[start][0]:
            continue
        now = start + 1
        while told[now][0] and now not in calms and now not in starts:
            now += 1
        expected.append((now - start, told[now][0] and now in calms))
    found = [(one.time_ns // NS_PER_S, not one.cut_short) for one in numbers.recovery.each]
    assert found == expected


@given(sessions(), tag_lists())
def test_reactions_fall_on_the_rein_and_in_the_gait_of_their_second(
    session: Session, tags: list[Tag]
) -> None:
    reactions = numbers_of(session, *tags).reactions
    told = seconds_of(session, tags)
    where = [told[tag.start_ns // NS_PER_S] for tag in tags if tag.what in REACTIONS]
    assert reactions.out_of_sight == sum(not seen for seen, _, _ in where)
    assert reactions.left.count == sum(seen and rein == "left_rein" for seen, _, rein in where)
    for name, rate in reactions.by_gait.items():
        assert rate.count == sum(seen and gait == name for seen, gait, _ in where)
