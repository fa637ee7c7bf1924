from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble, Trouble
from annotate.passages import Passage
from annotate.sessions import Session
from annotate.tagging import Change
from store.barn import Barn
from store.rows import NewClip, SessionRow
from tests.store.made_barns import BOTH, MAY_4, event, put, state

engines = BOTH

MAY_5 = date(2026, 5, 5)


def test_a_session_comes_back_as_it_was_kept(barn: Barn) -> None:
    kept = barn.add_session(
        *("Juniper", MAY_4, (), 600 * NS_PER_S, "First saddle"),
        note="windy",
        handler="Sam",
        place="round pen",
        details={"pen diameter": "18 m"},
    )
    assert barn.session(kept) == Session(
        id=kept,
        horse="Juniper",
        day=MAY_4,
        length_ns=600 * NS_PER_S,
        details={
            "title": "First saddle",
            "note": "windy",
            "handler": "Sam",
            "place": "round pen",
            "pen diameter": "18 m",
        },
    )


def test_the_sessions_of_one_day_are_numbered(barn: Barn) -> None:
    kept = [barn.add_session("Juniper", day, length_ns=1) for day in (MAY_4, MAY_4, MAY_5)]
    assert [barn.session(one).number for one in kept] == [1, 2, 1]


def test_the_list_of_sessions_counts_clips_and_tags(barn: Barn, clip: Callable[..., NewClip]) -> None:
    clips = [clip("a.mp4"), clip("b.mp4", starts_s=100)]
    kept = barn.add_session("Juniper", MAY_4, clips, title="Flag", note="calm")
    put(barn, kept, state("walk", 0, 20), event("spook", 5))
    barn.apply(kept, Change((), (state("walk", 0, 20),)), look=2)
    assert barn.sessions() == [
        SessionRow(kept, "Juniper", MAY_4, 1, "Flag", clips=2, tags=2, length_ns=160 * NS_PER_S, note="calm")
    ]


def test_the_list_of_sessions_is_ordered_by_horse_and_day(barn: Barn) -> None:
    for horse, day in (("thistle", MAY_4), ("Alder", MAY_5), ("Alder", MAY_4)):
        barn.add_session(horse, day, length_ns=1)
    assert [(row.horse, row.day) for row in barn.sessions()] == [
        ("Alder", MAY_4),
        ("Alder", MAY_5),
        ("thistle", MAY_4),
    ]


def test_the_sessions_of_one_horse_can_be_listed(barn: Barn) -> None:
    barn.add_session("Alder", MAY_4, length_ns=1)
    kept = barn.add_session("Juniper", MAY_4, length_ns=1)
    assert [row.id for row in barn.sessions("JUNIPER")] == [kept]


def test_a_session_is_found_by_number_and_by_name(barn: Barn) -> None:
    first = barn.add_session("Juniper Sky", MAY_4, length_ns=1)
    second = barn.add_session("Juniper Sky", MAY_4, length_ns=1)
    assert barn.find_session(str(second)) == second
    assert barn.find_session("juniper sky/2026-05-04") == first
    assert barn.find_session("Juniper Sky/2026-05-04/2") == second


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("99", "no session 99"),
        ("9" * 40, "names no session"),
        ("Juniper/2026-05-05", "no session Juniper/2026-05-05"),
        ("Juniper/2026-05-04/3", "no session"),
        ("Juniper/2026-02-30", "not a day"),
        ("Nobody/2026-05-04", "no horse named Nobody"),
        ("Juniper", "names no session"),
        ("Juniper/2026-05-04/x", "names no session"),
        ("", "names no session"),
    ],
)
def test_a_name_that_fits_no_session_is_refused(barn: Barn, session_id: int, text: str, words: str) -> None:
    with pytest.raises(Trouble, match=words):
        barn.find_session(text)


@pytest.mark.parametrize("ask", ["session", "clips", "tags", "passages", "delete_session"])
def test_an_unknown_session_is_said_to_be_unknown(barn: Barn, ask: str) -> None:
    with pytest.raises(BarnTrouble, match="no session 7"):
        getattr(barn, ask)(7)


def test_a_changed_session_keeps_what_was_not_named(barn: Barn) -> None:
    kept = barn.add_session("Juniper", MAY_4, length_ns=NS_PER_S, title="Flag", note="windy")
    barn.change_session(kept, note="calm", handler="Sam", details={"footing": "sand"})
    assert barn.session(kept).details == {
        "title": "Flag",
        "note": "calm",
        "handler": "Sam",
        "footing": "sand",
    }


def test_of_the_details_only_those_that_are_named_are_altered(barn: Barn) -> None:
    kept = barn.add_session("Juniper", MAY_4, length_ns=NS_PER_S, details={"pen_m": "18", "camera": "inside"})
    barn.change_session(kept, details={"pen_m": "20"})
    barn.record_step(kept, "quiet_flag")
    assert barn.session(kept).details == {"pen_m": "20", "camera": "inside", "step": "quiet_flag"}


def test_a_session_moved_to_another_day_takes_the_next_number_there(barn: Barn) -> None:
    barn.add_session("Juniper", MAY_5, length_ns=1)
    kept = barn.add_session("Juniper", MAY_4, length_ns=1)
    barn.change_session(kept, day=MAY_5)
    assert barn.session(kept).name == "Juniper/2026-05-05/2"


def test_a_session_can_be_given_to_the_right_horse(barn: Barn, session_id: int) -> None:
    barn.add_horse("Alder")
    barn.change_session(session_id, horse="alder")
    assert barn.session(session_id).horse == "Alder"


def test_a_session_cannot_be_cut_shorter_than_its_tags(barn: Barn, session_id: int) -> None:
    put(barn, session_id, state("walk", 0, 400))
    with pytest.raises(BarnTrouble, match=r"outside the session.*Nothing was changed"):
        barn.change_session(session_id, length_ns=300 * NS_PER_S, title="cut")
    assert barn.session(session_id).length_ns == 600 * NS_PER_S
    assert "title" not in barn.session(session_id).details


@pytest.mark.parametrize("length_ns", [-1, 86_400 * NS_PER_S + 1])
def test_a_length_that_no_session_has_is_refused(barn: Barn, length_ns: int) -> None:
    with pytest.raises(BarnTrouble, match="from 0 s to a day"):
        barn.add_session("Juniper", MAY_4, length_ns=length_ns)
    assert barn.horses() == []


def test_a_deleted_session_takes_its_tags_and_passages_along(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    new = clip()
    kept = barn.add_session("Juniper", MAY_4, [new])
    mark = barn.session(kept).clips[0].mark(1_000)
    tag = event("spook", 0)
    put(barn, kept, tag)
    barn.keep_passages(kept, [Passage(0, 5, "start", start_frame=mark)])
    barn.delete_session(kept)
    assert barn.sessions() == []
    again = barn.add_session("Juniper", MAY_4, [new])
    put(barn, again, tag)
    assert (again, barn.passages(again)) == (kept + 1, ())
    assert new.facts.path.exists()


def test_numbers_of_deleted_sessions_and_clips_are_never_given_again(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    first = barn.add_session("Juniper", MAY_4, [clip()])
    clip_id = barn.clips(first)[0].id
    barn.delete_session(first)
    second = barn.add_session("Juniper", MAY_4, [clip()])
    assert (second, barn.clips(second)[0].id) == (first + 1, clip_id + 1)
