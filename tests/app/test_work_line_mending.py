"""What is kept of a work line when tags change is what would be made anew of all tags."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.behaviours import Sheet, default_sheet
from annotate.clock import NS_PER_S
from annotate.errors import TagTrouble
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from annotate.workline import work_line
from app.work_line_columns import LaneColumns, LineColumns
from app.work_line_instants import InstantColumns
from app.work_line_mending import Mended, mended
from app.work_line_tags import TagTable

S = NS_PER_S
SHEET = default_sheet()
LENGTH = 60
SESSION = Session(1, "Biscuit", date(2026, 5, 1), length_ns=LENGTH * S)
CLIPS = (
    PlacedClip(1, 0, Fraction(1, 1000), 0, 25_000),
    PlacedClip(2, 33 * S, Fraction(1, 1000), 0, 27_000),
)
ROWS = (
    ("walk", "trot", "stand", "back"),
    ("left_rein", "right_rein"),
    ("out_of_sight",),
    ("pressure_light", "pressure_firm"),
)
SIDE_BY_SIDE = ("flag_on", "bag_on", "saddle")
INSTANTS = ("spook", "buck", "calm", "cluck", "turn_in", "turn_out", "snort")


def told(columns: LineColumns) -> list[object]:
    """All that columns tell: the things, and their facts but for the numbers of kinds."""
    found: list[object] = [columns.end_ns]
    for one in fields(columns):
        value = getattr(columns, one.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, LaneColumns):
                found.append(part.lane)
                part = part.bars
            if isinstance(part, int):
                continue
            found.append((one.name, part.things))
            facts = part._facts.tolist()
            if isinstance(part, InstantColumns):
                kinds = facts.pop(part._ASKED.index("kind"))
                assert [part._looks(part.models[kind]) for kind in kinds] == [*map(part._looks, part.things)]
            found.append(facts)
    return found


def anew(session: Session, tags: tuple[Tag, ...], sheet: Sheet = SHEET) -> LineColumns:
    return LineColumns.of(work_line(session, tags, sheet))


def mend(session: Session, before: tuple[Tag, ...], after: tuple[Tag, ...]) -> Mended | None:
    table = TagTable(before, SHEET)
    now, altered = table.followed_by(after)
    assert now.tags == after
    assert (now._facts == TagTable(after, SHEET)._facts).all()
    return mended(anew(session, before), session, table, now, altered, SHEET)


@st.composite
def sessions(draw: st.DrawFn) -> tuple[Session, tuple[Tag, ...]]:
    """A session with states that do not overlap in their groups, some of them running at its end."""
    tags: list[Tag] = []
    for names in ROWS:
        edges = sorted(draw(st.sets(st.integers(0, LENGTH - 1), max_size=10)))
        for start, end in pairwise(edges):
            if draw(st.booleans()):
                tags.append(Tag(draw(st.sampled_from(names)), start * S, end * S))
        if tags and draw(st.booleans()) and tags[-1].what in names:
            tags[-1] = replace(tags[-1], running=True)
    for _ in range(draw(st.integers(0, 6))):
        start = draw(st.integers(0, LENGTH - 2))
        end = draw(st.integers(start + 1, LENGTH))
        tags.append(Tag(draw(st.sampled_from(SIDE_BY_SIDE)), start * S, end * S))
    for _ in range(draw(st.integers(0, 8))):
        tags.append(draw(instants()))
    session = replace(SESSION, clips=CLIPS) if draw(st.booleans()) else SESSION
    return session, tuple(sorted(tags, key=lambda tag: tag.start_ns))


@st.composite
def instants(draw: st.DrawFn) -> Tag:
    at_ns = draw(st.integers(0, LENGTH)) * S
    return Tag(draw(st.sampled_from(INSTANTS)), at_ns, severity=draw(st.sampled_from((None, 1, 4))))


@st.composite
def states(draw: st.DrawFn) -> Tag:
    start = draw(st.integers(0, LENGTH - 2))
    end = draw(st.integers(start + 1, LENGTH))
    names = [name for row in (*ROWS, SIDE_BY_SIDE) for name in row]
    return Tag(draw(st.sampled_from(names)), start * S, end * S, running=draw(st.booleans()))


@st.composite
def altered(draw: st.DrawFn, tags: tuple[Tag, ...]) -> tuple[Tag, ...]:
    """The tags after a few went, came, were moved, ended elsewhere or set running."""
    now = list(tags)
    for _ in range(draw(st.integers(1, 3))):
        done = draw(st.sampled_from(("goes", "comes", "lasts", "comes", "ends", "runs", "moves", "is noted")))
        if done == "comes":
            now.append(draw(instants()))
        elif done == "lasts":
            now.append(draw(states()))
        elif now:
            i = draw(st.integers(0, len(now) - 1))
            tag = now.pop(i)
            if done == "ends" and tag.end_ns is not None:
                end = draw(st.integers(tag.start_ns // S + 1, LENGTH + 1))
                now.insert(i, replace(tag, end_ns=end * S))
            elif done == "runs" and tag.end_ns is not None:
                now.insert(i, replace(tag, running=not tag.running))
            elif done == "moves" and tag.end_ns is None:
                now.insert(i, replace(tag, start_ns=draw(st.integers(0, LENGTH)) * S))
            elif done == "is noted":
                now.insert(i, replace(tag, note="looked twice"))
    return tuple(sorted(now, key=lambda tag: tag.start_ns) if draw(st.booleans()) else now)


@given(st.data())
@settings(max_examples=150)
def test_a_mended_line_is_the_line_of_all_tags(data: st.DataObject) -> None:
    session, before = data.draw(sessions())
    after = data.draw(altered(before))
    try:
        wanted = anew(session, after)
    except TagTrouble:
        return
    found = mend(session, before, after)
    if found is not None:
        assert told(found.columns) == told(wanted)


@given(st.data())
@settings(max_examples=50)
def test_tags_are_told_apart_wherever_they_went_and_came(data: st.DataObject) -> None:
    _, before = data.draw(sessions())
    after = data.draw(altered(before))
    table, found = TagTable(before, SHEET).followed_by(after)
    assert table.tags == after
    was, now = {repr(tag) for tag in before}, {repr(tag) for tag in after}
    assert {repr(tag) for tag in found.gone} == was - now
    assert {repr(tag) for tag in found.came} == now - was


WALK = Tag("walk", 5 * S, 20 * S)
TROT = Tag("trot", 20 * S, 40 * S, running=True)
REIN = Tag("left_rein", 5 * S, 40 * S, running=True)
SPOOK = Tag("spook", 12 * S, severity=3)
FLAG = Tag("flag_on", 10 * S, 15 * S)
TAGS = (WALK, REIN, FLAG, SPOOK, TROT)


@pytest.mark.parametrize(
    "after",
    [
        (*TAGS, Tag("calm", 30 * S)),
        (WALK, replace(REIN, end_ns=45 * S), FLAG, SPOOK, replace(TROT, end_ns=45 * S), Tag("turn_in", 45 * S)),
        (
            WALK,
            replace(REIN, end_ns=44 * S),
            FLAG,
            SPOOK,
            replace(TROT, end_ns=44 * S, running=False),
            Tag("lope", 44 * S, 45 * S, running=True),
        ),
        (WALK, REIN, SPOOK, TROT, Tag("bag_on", 12 * S, 35 * S)),
        (replace(WALK, end_ns=19 * S), REIN, FLAG, SPOOK, TROT),
        (WALK, REIN, FLAG, replace(SPOOK, severity=4), TROT),
        (WALK, REIN, FLAG, TROT),
    ],
    ids=["an instant", "a turn while states run", "another gait", "in a lane", "an edge", "a severity", "deleted"],
)
def test_what_a_hand_does_is_mended_and_not_made_anew(after: tuple[Tag, ...]) -> None:
    found = mend(SESSION, TAGS, after)
    assert found is not None
    assert told(found.columns) == told(anew(SESSION, after))


def test_only_the_stretch_that_a_tag_tells_about_looks_otherwise() -> None:
    found = mend(SESSION, TAGS, (*TAGS, Tag("cluck", 30 * S)))
    assert found is not None
    assert found.looks_ns == ((30 * S, 30 * S),)
    longer = mend(SESSION, TAGS, (WALK, REIN, FLAG, SPOOK, replace(TROT, end_ns=45 * S)))
    assert longer is not None
    assert longer.looks_ns == ((40 * S, 45 * S),)
    calm = mend(SESSION, TAGS, (*TAGS, Tag("calm", 30 * S)))
    assert calm is not None
    assert calm.looks_ns == ((30 * S, 40 * S),)


def test_a_recovery_that_still_runs_reaches_a_tag_beyond_all_others() -> None:
    before = (*TAGS, Tag("pressure_light", 1 * S, 2 * S))
    for tag in (Tag("pressure_light", 50 * S, 55 * S), Tag("calm", 50 * S), Tag("buck", 50 * S)):
        tags = (*before, tag)
        found = mend(SESSION, before, tags)
        assert found is not None
        assert told(found.columns) == told(anew(SESSION, tags))


def test_a_rein_that_runs_no_longer_says_so_of_its_earlier_pieces() -> None:
    gone = Tag("out_of_sight", 25 * S, 40 * S)
    before, after = (*TAGS, gone), (WALK, replace(REIN, running=False), FLAG, SPOOK, TROT, gone)
    found = mend(SESSION, before, after)
    assert found is not None
    assert told(found.columns) == told(anew(SESSION, after))


def test_nothing_is_mended_where_no_tag_changed() -> None:
    found = mend(SESSION, TAGS, tuple(replace(tag) for tag in TAGS))
    assert found is not None
    assert found.looks_ns == ()


def test_where_states_that_exclude_each_other_overlap_all_is_made_anew() -> None:
    assert mend(SESSION, TAGS, (*TAGS, Tag("lope", 10 * S, 30 * S))) is None


def test_a_lane_that_comes_or_goes_is_made_with_all_the_rest() -> None:
    assert mend(SESSION, TAGS, (*TAGS, Tag("halter", 10 * S, 30 * S))) is None
    assert mend(SESSION, TAGS, (WALK, REIN, SPOOK, TROT)) is None
