"""Horses, owners and sessions as records: kept, found, sorted, put away and brought back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from sqlalchemy import Engine
from sqlalchemy import event as engine_event

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble
from annotate.horses import Horse
from annotate.sessions import RECORD_WORDS
from store.barn import Barn
from store.wanted import WantedHorses, WantedSessions
from tests.store.made_barns import BOTH, MAY_4, event, put

engines = BOTH

MAY_5, MAY_6 = date(2026, 5, 5), date(2026, 5, 6)


@pytest.fixture
def season(barn: Barn) -> Barn:
    """Two horses with three sessions: 1 and 2 are Juniper's, 3 is Alder's."""
    barn.keep_horse(Horse(0, "Juniper", colour="bay", owner="R. Hollow"))
    barn.add_session("Juniper", MAY_4, length_ns=600 * NS_PER_S, title="Flag", place="Long meadow")
    barn.add_session("Juniper", MAY_6, length_ns=300 * NS_PER_S, details={"footing": "DEEP sand"})
    barn.add_session("Alder", MAY_5, length_ns=900 * NS_PER_S, note="50% of the work")
    put(barn, 1, event("spook", 3), event("calm", 5))
    return barn


def ids(barn: Barn, wanted: WantedSessions) -> list[int]:
    return [row.id for row in barn.find_sessions(wanted)]


def test_a_horse_keeps_every_fact(barn: Barn) -> None:
    kept = barn.keep_horse(
        Horse(
            *(0, "Juniper", "mare", "bay", date(2023, 1, 1), "kind", "R. Hollow", True),
            *(Fraction("157.48"), Fraction(120), 420),
        )
    )
    assert barn.horse("Juniper") == kept


def test_two_horses_of_one_owner_share_the_owner(barn: Barn) -> None:
    for name, owner in (("Juniper", "R. Hollow"), ("Alder", "r.  hollow")):
        barn.keep_horse(Horse(0, name, owner=owner))
    assert [owner.name for owner in barn.owners()] == ["R. Hollow"]
    assert [horse.owner for horse in barn.horses()] == ["R. Hollow", "R. Hollow"]


def test_a_horse_follows_the_new_name_of_its_owner(season: Barn) -> None:
    season.change_owner(replace(season.owners()[0], name="R. Hill", contact="by the mill"))
    assert season.horse("Juniper").owner == "R. Hill"
    assert [row.horse.name for row in season.find_horses(WantedHorses("hill"))] == ["Juniper"]
    assert season.find_horses(WantedHorses("hollow")) == []
    assert season.owners()[0].contact == "by the mill"


def test_two_owners_cannot_have_one_name(barn: Barn) -> None:
    barn.add_owner("R. Hollow")
    with pytest.raises(BarnTrouble, match="already an owner named"):
        barn.add_owner("R. HOLLOW")


def test_a_session_keeps_every_word_of_its_record(barn: Barn) -> None:
    words = {word: f"{title} of the day" for word, title in RECORD_WORDS.items()}
    kept = barn.add_session("Juniper", MAY_4, length_ns=1, details={**words, "tack": "surcingle"})
    assert barn.session(kept).details == {**words, "tack": "surcingle"}
    barn.change_session(kept, details={"goal": "", "footing": "grass"})
    changed = {word: text for word, text in words.items() if word != "goal"}
    assert barn.session(kept).details == {**changed, "footing": "grass", "tack": "surcingle"}


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (WantedSessions(), [3, 1, 2]),
        (WantedSessions(words="MEADOW"), [1]),
        (WantedSessions(words="deep juniper"), [2]),
        (WantedSessions(words="hollow"), [1, 2]),
        (WantedSessions(words="50%"), [3]),
        (WantedSessions(words="5_%"), []),
        (WantedSessions(words="2026-05-06"), [2]),
        (WantedSessions(what="spook"), [1]),
        (WantedSessions(what="buck"), []),
        (WantedSessions(first_day=MAY_5), [3, 2]),
        (WantedSessions(last_day=MAY_5), [3, 1]),
        (WantedSessions(horse_id=1), [1, 2]),
        (WantedSessions(order="day"), [1, 3, 2]),
        (WantedSessions(order="day", backwards=True), [2, 3, 1]),
        (WantedSessions(order="length"), [2, 1, 3]),
        (WantedSessions(order="tags", backwards=True), [1, 2, 3]),
        (WantedSessions(order="title", backwards=True), [1, 2, 3]),
    ],
)
def test_sessions_are_found_and_sorted(season: Barn, wanted: WantedSessions, found: list[int]) -> None:
    assert ids(season, wanted) == found


def test_sessions_are_found_in_one_query(season: Barn) -> None:
    asked: list[str] = []

    def count(_: object, __: object, statement: str, *___: object) -> None:
        asked.append(statement)

    engine_event.listen(Engine, "before_cursor_execute", count)
    season.find_sessions(WantedSessions(words="deep", what="spook", order="tags"))
    season.find_horses(WantedHorses("deep", order="sessions"))
    engine_event.remove(Engine, "before_cursor_execute", count)
    assert [statement[:6] for statement in asked if not statement.startswith("BEGIN")] == ["SELECT", "SELECT"]


def test_a_changed_session_is_found_by_its_new_words_only(season: Barn) -> None:
    season.change_session(1, title="Bag")
    assert ids(season, WantedSessions(words="flag")) == []
    assert ids(season, WantedSessions(words="bag meadow")) == [1]


def test_horses_are_listed_with_their_sessions(season: Barn) -> None:
    rows = season.find_horses(WantedHorses(order="sessions", backwards=True))
    assert [(row.horse.name, row.sessions, row.last_day) for row in rows] == [
        ("Juniper", 2, MAY_6),
        ("Alder", 1, MAY_5),
    ]


def test_an_archived_session_leaves_the_list_and_keeps_its_tags(season: Barn) -> None:
    season.put_session(1, "archive")
    assert ids(season, WantedSessions()) == [3, 2]
    assert ids(season, WantedSessions(where="archive")) == [1]
    assert len(season.tags(1)) == 2
    season.put_session(1, "barn")
    assert ids(season, WantedSessions()) == [3, 1, 2]


def test_a_horse_takes_its_sessions_into_the_bin_and_brings_them_back(season: Barn) -> None:
    season.put_horse(1, "bin")
    assert [horse.name for horse in season.horses()] == ["Alder"]
    assert ids(season, WantedSessions()) == [3]
    assert ids(season, WantedSessions(where="bin")) == [1, 2]
    season.put_horse(1, "barn")
    assert ids(season, WantedSessions()) == [3, 1, 2]
    assert len(season.tags(1)) == 2


def test_an_archived_horse_still_shows_its_sessions_when_it_is_named(season: Barn) -> None:
    season.put_horse(1, "archive")
    assert ids(season, WantedSessions()) == [3]
    assert [row.id for row in season.sessions("Juniper")] == [1, 2]


def test_emptying_the_bin_deletes_what_lies_in_it_and_nothing_else(season: Barn) -> None:
    season.put_session(3, "bin")
    season.put_horse(1, "bin")
    gone = season.empty_bin()
    assert (gone.horses, gone.sessions, gone.tags) == (1, 3, 2)
    assert ids(season, WantedSessions(where=None)) == []
    assert [horse.name for horse in season.horses()] == ["Alder"]


def test_the_name_of_a_horse_in_the_bin_is_taken_until_it_is_emptied(season: Barn) -> None:
    season.put_horse(1, "bin")
    with pytest.raises(BarnTrouble, match="in the bin: bring it back first"):
        season.add_horse("Juniper")
    with pytest.raises(BarnTrouble, match="Bring the horse back first"):
        season.add_session("Juniper", MAY_4, length_ns=1)
    season.empty_bin()
    season.add_horse("Juniper")


@pytest.mark.parametrize("put", ["put_session", "put_horse"])
def test_what_is_not_there_cannot_be_put_away(barn: Barn, put: str) -> None:
    with pytest.raises(BarnTrouble, match="There is no"):
        getattr(barn, put)(7, "bin")


def test_an_owner_is_taken_off_the_list_once_no_horse_has_it(season: Barn) -> None:
    owner = season.owners()[0]
    with pytest.raises(BarnTrouble, match="still has this owner"):
        season.forget_owner(owner.id)
    for horse in season.horses():
        season.change_horse(replace(horse, owner=""))
    season.forget_owner(owner.id)
    assert owner not in season.owners()
