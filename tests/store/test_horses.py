from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from annotate.errors import BarnTrouble, Trouble
from store.barn import Barn
from tests.store.made_barns import BOTH, MAY_4

engines = BOTH


def test_a_horse_comes_back_as_it_was_kept(barn: Barn) -> None:
    kept = barn.add_horse(
        "Juniper", sex="mare", colour="bay", born=date(2023, 4, 1), note="kind", owner="R. Hollow"
    )
    assert barn.horse("Juniper") == kept
    assert (kept.sex, kept.colour, kept.born, kept.note, kept.owner) == (
        *("mare", "bay", date(2023, 4, 1), "kind", "R. Hollow"),
    )


def test_a_horse_is_found_whatever_the_capitals(barn: Barn) -> None:
    kept = barn.add_horse("Ökonom Straße")
    assert barn.horse("ÖKONOM  STRASSE") == kept


def test_horses_are_listed_by_name(barn: Barn) -> None:
    for name in ("thistle", "Alder", "Briar"):
        barn.add_horse(name)
    assert [horse.name for horse in barn.horses()] == ["Alder", "Briar", "thistle"]


def test_two_horses_cannot_have_one_name(barn: Barn) -> None:
    barn.add_horse("Juniper")
    with pytest.raises(BarnTrouble, match="already a horse named Juniper"):
        barn.add_horse("JUNIPER")
    assert len(barn.horses()) == 1


def test_an_unknown_horse_is_said_to_be_unknown(barn: Barn) -> None:
    with pytest.raises(BarnTrouble, match="no horse named Nobody"):
        barn.horse("Nobody")


def test_a_horse_needs_a_name(barn: Barn) -> None:
    with pytest.raises(Trouble, match="needs a name"):
        barn.add_horse("  ")


def test_a_horse_may_change_its_name_and_facts(barn: Barn) -> None:
    kept = barn.add_horse("Juniper")
    barn.change_horse(replace(kept, name="JUNIPER", colour="grey"))
    assert barn.horses() == [replace(kept, name="JUNIPER", colour="grey")]


def test_a_horse_cannot_take_the_name_of_another(barn: Barn) -> None:
    barn.add_horse("Alder")
    kept = barn.add_horse("Juniper")
    with pytest.raises(BarnTrouble, match="already a horse named Alder"):
        barn.change_horse(replace(kept, name="alder"))


def test_a_horse_that_is_not_there_cannot_be_changed(barn: Barn) -> None:
    kept = barn.add_horse("Juniper")
    with pytest.raises(BarnTrouble, match="no horse 99"):
        barn.change_horse(replace(kept, id=99, name="Other"))


def test_a_session_with_a_new_horse_makes_the_horse(barn: Barn) -> None:
    barn.add_session("Juniper", MAY_4, length_ns=1)
    barn.add_session("juniper", MAY_4, length_ns=1)
    assert [horse.name for horse in barn.horses()] == ["Juniper"]
