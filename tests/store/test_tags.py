from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble, TagTrouble
from annotate.tagging import Change, Moment, press
from annotate.tags import FrameMark, Tag
from store.address import ServerAddress
from store.barn import Barn
from store.rows import NewClip
from tests.store.made_barns import BOTH, MAY_4, event, identified, new_clip, put, state

engines = BOTH

# A server keeps no text with the sign NUL in it; a file does: see below.
TEXTS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=12)
NS = st.integers(0, 10**15)
FRAMES = st.none() | st.builds(FrameMark, st.just(1), st.integers(-(2**62), 2**62))


@st.composite
def tags(draw: st.DrawFn) -> Tag:
    start_ns = draw(NS)
    lasts = draw(st.none() | st.integers(1, 10**12))
    return Tag(
        what=draw(st.sampled_from(["walk", "trot", "spook", "left_rein"])),
        start_ns=start_ns,
        end_ns=None if lasts is None else start_ns + lasts,
        severity=draw(st.none() | st.integers(1, 4)),
        stimulus=draw(TEXTS),
        side=draw(st.sampled_from(["", "left", "right"])),
        note=draw(TEXTS),
        running=draw(st.booleans()),
        start_frame=draw(FRAMES),
        end_frame=draw(FRAMES),
    )


@pytest.fixture(scope="module", params=BOTH)
def clip_barn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Barn]:
    """A barn with one session, 1, that has one clip, 1."""
    folder = tmp_path_factory.mktemp("tags")
    on_server = request.param == "server"
    place = request.getfixturevalue("server").new_database() if on_server else folder / "my.barn"
    with Barn.create(place) as barn:
        barn.add_session("Juniper", MAY_4, [new_clip(folder / "a.mp4")])
        yield barn


@given(made=st.lists(tags(), max_size=8))
def test_tags_come_back_exactly(clip_barn: Barn, made: list[Tag]) -> None:
    clip_barn.apply(1, Change(clip_barn.tags(1)))
    change = Change((), tuple(made))
    clip_barn.apply(1, change)
    kept = clip_barn.tags(1)
    clip_barn.apply(1, change.undone)
    assert identified(kept) == identified(tuple(made))
    assert clip_barn.tags(1) == ()


@given(data=st.data())
@settings(max_examples=40, suppress_health_check=[HealthCheck.data_too_large])
def test_any_changes_undone_give_the_first_state(clip_barn: Barn, data: st.DataObject) -> None:
    barn = clip_barn
    barn.apply(1, Change(barn.tags(1)))
    first = tuple(data.draw(st.lists(tags(), max_size=5)))
    barn.apply(1, Change((), first))
    done = []
    for _ in range(data.draw(st.integers(1, 5))):
        here = barn.tags(1)
        going = data.draw(st.lists(st.sampled_from(here), unique_by=lambda t: t.id)) if here else []
        altered = [replace(tag, note=data.draw(TEXTS)) for tag in going if data.draw(st.booleans())]
        change = Change(tuple(going), (*altered, *data.draw(st.lists(tags(), max_size=3))))
        barn.apply(1, change)
        assert identified(barn.tags(1)) == identified(change.apply(here))
        done.append(change)
    for change in reversed(done):
        barn.apply(1, change.undone)
    assert identified(barn.tags(1)) == identified(first)


def test_tags_are_read_in_order(barn: Barn, session_id: int) -> None:
    put(barn, session_id, event("spook", 9), state("walk", 5, 8), event("calm", 5), state("trot", 5, 9))
    assert [tag.what for tag in barn.tags(session_id)] == ["trot", "walk", "calm", "spook"]


def test_what_a_key_press_does_is_there_when_the_barn_is_opened_again(barn: Barn, session_id: int) -> None:
    for what, at_s in (("walk", 1), ("trot", 5)):
        change = press(barn.sheet(), barn.tags(session_id), what, Moment(at_s * NS_PER_S))
        barn.apply(session_id, change)
    with Barn.open(barn.place) as again:
        assert [(tag.what, tag.start_ns // NS_PER_S) for tag in again.tags(session_id)] == [
            ("walk", 1),
            ("trot", 5),
        ]


def test_a_tag_that_is_gone_already_cannot_go_again(barn: Barn, session_id: int) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    barn.apply(session_id, Change((tag,)))
    with pytest.raises(BarnTrouble, match="changed meanwhile"):
        barn.apply(session_id, Change((tag,), (event("calm", 4),)))
    assert barn.tags(session_id) == ()


@pytest.mark.parametrize(
    "elsewhere",
    [
        {"start_ns": 1},
        {"note": "seen"},
        {"severity": 3},
        {"side": "left"},
        {"end_ns": 10**10},
        {"running": True},
    ],
)
def test_a_tag_that_was_changed_meanwhile_is_not_overwritten(
    barn: Barn, session_id: int, elsewhere: dict[str, object]
) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    other = replace(tag, **elsewhere)  # type: ignore[arg-type]
    barn.apply(session_id, Change((tag,), (other,)))
    with pytest.raises(BarnTrouble, match="changed meanwhile"):
        barn.apply(session_id, Change((tag,), (replace(tag, stimulus="flag"),)))
    assert barn.tags(session_id) == (other,)


def test_a_tag_cannot_come_twice(barn: Barn, session_id: int) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    with pytest.raises(BarnTrouble, match="changed meanwhile"):
        put(barn, session_id, event("calm", 4), tag)
    assert barn.tags(session_id) == (tag,)


def test_a_tag_for_an_unknown_session_is_refused(barn: Barn) -> None:
    with pytest.raises(BarnTrouble, match="no session 7"):
        put(barn, 7, event("spook", 3))


def test_a_tag_cannot_hang_on_a_clip_of_another_session(
    barn: Barn, session_id: int, clip: Callable[..., NewClip]
) -> None:
    other = barn.add_session("Alder", MAY_4, [clip()])
    mark = FrameMark(barn.clips(other)[0].id, 1_000)
    with pytest.raises(BarnTrouble, match="makes no sense"):
        put(barn, session_id, Tag("spook", 0, start_frame=mark))


def test_text_that_cannot_be_kept_is_refused_in_words(barn: Barn, session_id: int) -> None:
    with pytest.raises(BarnTrouble, match="cannot be kept; nothing was changed"):
        put(barn, session_id, event("calm", 1), Tag("spook", 0, note="half a sign: \ud83d"))
    assert barn.tags(session_id) == ()


def test_the_sign_nul_is_kept_or_refused_in_words(barn: Barn, session_id: int) -> None:
    tag = Tag("spook", 0, note="a\0b")
    if isinstance(barn.place, ServerAddress):
        with pytest.raises(BarnTrouble, match="cannot be kept; nothing was changed"):
            put(barn, session_id, tag)
    else:
        put(barn, session_id, tag)
        assert barn.tags(session_id) == (tag,)


def test_a_number_that_is_too_large_is_refused_in_words(barn: Barn, session_id: int) -> None:
    with pytest.raises(BarnTrouble, match="too large"):
        put(barn, session_id, Tag("spook", 2**70))


def test_a_second_look_is_kept_apart(barn: Barn, session_id: int) -> None:
    put(barn, session_id, event("spook", 3))
    barn.apply(session_id, Change((), (event("shy", 3),)), look=2)
    assert [tag.what for tag in barn.tags(session_id)] == ["spook"]
    assert [tag.what for tag in barn.tags(session_id, look=2)] == ["shy"]
    assert barn.looks(session_id) == (1, 2)


def test_a_whole_list_takes_the_place_of_the_tags(barn: Barn, session_id: int) -> None:
    put(barn, session_id, state("walk", 0, 10))
    wanted = (state("trot", 0, 20), event("spook", 5))
    change = barn.replace_tags(session_id, wanted)
    assert barn.tags(session_id) == wanted
    barn.apply(session_id, change.undone)
    assert barn.tags(session_id) == (state("walk", 0, 10),)


def test_a_list_taken_in_again_leaves_the_tags_on_their_frames(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    session_id = barn.add_session("Juniper", MAY_4, [clip()])
    mark = barn.session(session_id).clips[0].mark(1_000)
    put(barn, session_id, replace(state("walk", 0, 10), start_frame=mark))
    before = barn.tags(session_id)
    change = barn.replace_tags(session_id, (state("walk", 0, 10), event("spook", 5)))
    assert [tag.what for tag in change.added] == ["spook"]
    assert identified(barn.tags(session_id)) == identified((*before, *change.added))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ([Tag("canter_backwards", 0)], "not on the sheet"),
        ([Tag("walk", 0)], "needs an end"),
        ([state("walk", 0, 10), state("trot", 5, 20)], "overlaps"),
        ([state("walk", 0, 601)], "outside the session"),
        ([event("spook", 700), event("spook", 800)], "1 more"),
    ],
)
def test_a_list_with_a_wrong_tag_is_not_taken_in_at_all(
    barn: Barn, session_id: int, wrong: list[Tag], words: str
) -> None:
    put(barn, session_id, event("calm", 1))
    with pytest.raises(TagTrouble, match=words):
        barn.replace_tags(session_id, [event("spook", 2), *wrong])
    assert barn.tags(session_id) == (event("calm", 1),)
