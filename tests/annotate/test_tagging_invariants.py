"""Whatever is done, in whatever order."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.behaviours import GAIT
from annotate.errors import TagTrouble
from annotate.tagging import Change, Edge, Moment, check_tags, move_edge, press, running, state_at, watched_to
from annotate.tags import Tag
from tests.annotate.tagged import HOUR, SHEET, Tags, after, at, ns

ALL_KEYS = [behaviour.name for behaviour in SHEET.behaviours]
# Those that bear on each other, pressed close together: most of what can go wrong is here.
CLASHING = ["walk", "trot", "lope", "left_rein", "right_rein", "turn_in"]
CLASHING += ["left_lead", "right_lead", "out_of_sight"]
moments = st.integers(0, 12).map(at)
doings = st.one_of(
    st.tuples(st.just("press"), st.sampled_from(CLASHING), moments),
    st.tuples(st.just("press"), st.sampled_from(CLASHING), moments),
    st.tuples(st.just("press"), st.sampled_from(ALL_KEYS), moments),
    st.tuples(st.just("watch"), st.just(""), moments),
    st.tuples(st.just("drag"), st.sampled_from(["start", "end"]), moments, st.integers(0, 30)),
)


def exactly(tags: Tags) -> dict[int, Tag]:
    return {tag.id: tag for tag in tags}


def done(tags: Tags, doing: tuple) -> Change:  # type: ignore[type-arg]
    kind, what, moment, *which = doing
    if kind == "press":
        return press(SHEET, tags, what, moment)
    if kind == "watch":
        return watched_to(tags, moment, SHEET)
    return dragged(tags, which[0], what, moment) if tags else Change()


def dragged(tags: Tags, which: int, edge: Edge, to: Moment) -> Change:
    """An edge moved, or nothing where it is refused."""
    try:
        return move_edge(SHEET, tags, tags[which % len(tags)], edge, to)
    except TagTrouble:
        return Change()


@settings(max_examples=500, deadline=None)
@given(st.lists(doings, min_size=3, max_size=14))
def test_whatever_is_done_no_states_overlap_and_each_step_can_be_taken_back(doing: list) -> None:  # type: ignore[type-arg]
    tags: Tags = ()
    for one in doing:
        change = done(tags, one)
        following = change.apply(tags)
        assert exactly(change.undone.apply(following)) == exactly(tags)
        assert not check_tags(SHEET, following, HOUR)
        if one[0] == "press":
            events = {tag.id: tag for tag in tags if not tag.is_state}
            assert events.items() <= exactly(following).items()
            later = {t.id: t for t in tags if t.start_ns > one[2].ns and not t.running}
            assert later.items() <= exactly(following).items()
        for tag in running(following):
            assert not [t for t in following if t.start_ns > tag.start_ns and SHEET.exclude(t.what, tag.what)]
        tags = following


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(ALL_KEYS), st.integers(0, 400)), min_size=1, max_size=20))
def test_tagging_forward_leaves_no_hole_between_gaits(presses: list[tuple[str, int]]) -> None:
    """Live: each press later than the one before. A gait ends only by its own key or out of sight."""
    tags: Tags = ()
    for what, tenths in sorted(presses, key=lambda pressed: pressed[1]):
        before = state_at(SHEET, tags, GAIT, ns(tenths / 10))
        tags = press(SHEET, tags, what, at(tenths / 10)).apply(tags)
        now = state_at(SHEET, tags, GAIT, ns(tenths / 10))
        assert (now is None) <= (before is None or what in (before.what, "out_of_sight"))


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(CLASHING), st.integers(0, 12)), min_size=1, max_size=12),
    st.integers(0, 30),
    st.sampled_from(["start", "end"]),
    st.integers(0, 15),
)
def test_moving_an_edge_never_makes_an_overlap_and_loses_no_tag(
    presses: list[tuple[str, int]], which: int, edge: Edge, to: int
) -> None:
    tags = after((), *presses)
    if not tags:
        return
    moved = dragged(tags, which, edge, at(to)).apply(tags)
    assert not check_tags(SHEET, moved, HOUR)
    assert {tag.id for tag in moved} == {tag.id for tag in tags}
