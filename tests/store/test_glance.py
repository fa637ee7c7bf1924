"""The first look shows what the barn itself would, and keeps quiet where it is not sure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from annotate.horses import Horse
from store.barn import Barn
from store.glance import Glance, glance
from store.wanted import WantedHorses, WantedSessions
from tests.store.made_barns import MAY_4, event, new_clip, put


def as_the_barn_has_it(barn: Barn) -> Glance:
    horses = barn.find_horses(WantedHorses())
    sessions = barn.find_sessions(WantedSessions(horse_id=horses[0].horse.id, order="day"))
    return Glance(tuple(horses), tuple(sessions))


def test_the_first_look_is_what_the_barn_says(barn: Barn, tmp_path: Path) -> None:
    juniper = Horse(0, "Juniper", "mare", "bay", date(2023, 1, 1), "gate", "A. Owner", True, Fraction("152.4"))
    barn.keep_horse(replace(juniper, weight_kg=410))
    barn.add_horse("Ash")
    first = barn.add_session("Ash", MAY_4, [new_clip(tmp_path / "a.mp4")])
    barn.add_session("Ash", MAY_4, length_ns=600_000_000_000)
    barn.change_session(first, details={"title": "flag", "note": "windy", "handler": "Kim"})
    put(barn, first, event("spook", 3), event("calm", 8))
    barn.put_session(barn.add_session("Ash", date(2026, 5, 1)), "bin")
    barn.put_horse(barn.add_horse("Thrown").id, "bin")
    assert glance(barn.path) == as_the_barn_has_it(barn)


def test_an_empty_barn_gives_no_first_look(barn: Barn) -> None:
    assert glance(barn.path) is None


def test_what_is_no_barn_gives_no_first_look(tmp_path: Path) -> None:
    (tmp_path / "letter.barn").write_text("Dear all")
    assert glance(tmp_path / "letter.barn") is None
    assert glance(tmp_path / "nothing.barn") is None
    assert not (tmp_path / "nothing.barn").exists()


def test_a_closed_barn_is_left_as_it_was(barn: Barn, session_id: int) -> None:
    barn.close()
    before = barn.path.read_bytes()
    assert glance(barn.path) is not None
    assert barn.path.read_bytes() == before
