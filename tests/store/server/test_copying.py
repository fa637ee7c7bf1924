"""A barn on a server and a barn's file, one made of the other; and what else only a file has."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble, ClipTrouble
from annotate.horses import Horse
from annotate.motion.suggestions import Pointed
from annotate.passages import Passage
from store.address import ServerAddress
from store.barn import Barn
from store.handing_over import read_handed
from store.rolling import backups, usual_folder
from store.rows import NewClip
from store.safety import backup, check, restore
from tests.postgres import Server
from tests.store.made_barns import MAY_4, event, identified, put, state


def fill(barn: Barn, clip: NewClip) -> None:
    """A little of everything: session 2, horse 1."""
    barn.keep_horse(Horse(0, "Juniper", "mare", "bay", date(2023, 1, 1), "kind", "R. Hollow", True, Fraction(150)))
    barn.delete_session(barn.add_session("Juniper", MAY_4, length_ns=1))
    barn.add_session("Juniper", MAY_4, [clip], title="Flag", details={"tack": "surcingle"})
    put(barn, 2, event("spook", 3), state("walk", 1, 9))
    barn.keep_passages(2, [Passage(0, NS_PER_S, "first")])
    barn.point(barn.clips(2)[0], Pointed(1000, 0.25, 0.1))
    barn.keep_setting("a", "ä")
    barn.put_session(2, "archive")


def holds(barn: Barn) -> list[object]:
    """All that `fill` put in, as it is read."""
    clips = barn.clips(2)
    return [
        *(barn.horses(), barn.owners(), barn.session(2), identified(barn.tags(2)), barn.passages(2), clips),
        *(barn.pointed(clips[0]), barn.setting("a"), barn.sheet_text()),
    ]


def test_a_backup_of_a_barn_on_a_server_is_a_barns_file(
    barn: Barn, clip: Callable[..., NewClip], tmp_path: Path
) -> None:
    fill(barn, clip())
    backup(barn.place, tmp_path / "saved.barn")
    with Barn.open(tmp_path / "saved.barn") as copy:
        assert holds(copy) == holds(barn)
    assert check(tmp_path / "saved.barn") == []
    with pytest.raises(BarnTrouble, match="already a file"):
        backup(barn.place, tmp_path / "saved.barn")


def test_a_barns_file_fills_an_empty_database_and_goes_on_counting_there(
    server: Server, clip: Callable[..., NewClip], tmp_path: Path
) -> None:
    address = server.new_database()
    with Barn.create(tmp_path / "my.barn") as file:
        fill(file, clip())
        assert restore(file.path, address) is None
        with Barn.open(address) as barn:
            assert holds(barn) == holds(file)
            assert barn.add_session("Juniper", MAY_4, length_ns=1) == 3


def test_a_barn_on_a_server_with_horses_is_not_overwritten(barn: Barn, barn_path: Path) -> None:
    barn.add_horse("Juniper")
    with pytest.raises(BarnTrouble, match="has horses already and nothing is overwritten"):
        restore(barn_path, barn.place)
    assert [horse.name for horse in barn.horses()] == ["Juniper"]


def test_checking_looks_at_tags_and_clips(barn: Barn, clip: Callable[..., NewClip], tmp_path: Path) -> None:
    fill(barn, clip())
    assert check(barn.place) == []
    put(barn, 2, state("trot", 5, 20))
    (tmp_path / "a.mp4").unlink()
    assert [(one.severity, one.words.rsplit(" ", 3)[0]) for one in check(barn.place)] == [
        ("wrong", "Session 2 (Juniper, 4 May 2026), tag at 0:05.0: trot overlaps"),
        ("note", f"{tmp_path / 'a.mp4'} of session 2 is not on this machine. Say where it lies here"),
    ]


def test_each_machine_has_its_clips_where_it_found_them(
    barn: Barn, other: Barn, clip: Callable[..., NewClip], tmp_path: Path
) -> None:
    new = clip()
    added = barn.add_session("Alder", MAY_4, [new])
    elsewhere = tmp_path / "card.mp4"
    elsewhere.write_bytes(new.facts.path.read_bytes())
    wrong = tmp_path / "other.mp4"
    wrong.write_bytes(b"another recording")
    [kept] = other.clips(added)
    with pytest.raises(ClipTrouble, match="another recording"):
        other.clip_found(kept.id, wrong)
    other.clip_found(kept.id, elsewhere)
    assert [one.path for one in other.clips(added)] == [elsewhere]
    assert [one.path for one in barn.clips(added)] == [new.facts.path]


def test_a_horse_is_handed_over_and_taken_in_after_a_backup_on_this_machine(
    barn: Barn, clip: Callable[..., NewClip], tmp_path: Path
) -> None:
    fill(barn, clip())
    barn.hand_over("Juniper", tmp_path / "juniper.horse", with_clips=True)
    barn.put_horse(1, "bin")
    barn.empty_bin()
    came = barn.take_in(read_handed(tmp_path / "juniper.horse"))
    assert (came.horse, came.added, came.tags) == ("Juniper", 1, 2)
    assert isinstance(barn.place, ServerAddress)
    assert barn.all_clips()[0].path.parent == barn.place.beside.with_suffix(".clips")
    assert len(list(usual_folder(barn.path).iterdir())) == len(backups(barn.path, usual_folder(barn.path))) == 1


def test_where_the_desk_was_left_is_each_persons_own(barn: Barn, other: Barn) -> None:
    for key in ("desk.state.1", "key_lag", "desk.following.1"):
        barn.keep_setting(key, "here")
    assert [other.setting(key) for key in ("desk.state.1", "key_lag", "desk.following.1")] == [None, None, "here"]
    with Barn.open(barn.place) as again:
        assert again.setting("desk.state.1") == "here"
        again.keep_setting("desk.state.1", None)
    assert barn.setting("desk.state.1") is None


def test_the_sheet_is_everybodys(barn: Barn, other: Barn) -> None:
    barn.keep_sheet(barn.sheet_text().replace('key = "S"', 'key = "F9"'))
    with Barn.open(other.place) as again:
        assert again.sheet()["stand"].key == "F9"
    assert other.take_kept_sheet()
    assert other.sheet()["stand"].key == "F9"
    assert not other.take_kept_sheet()


def test_the_programme_is_everybodys(barn: Barn, other: Barn) -> None:
    barn.keep_programme(f"# ours\n{barn.programme().text}")
    assert other.programme().text.startswith("# ours\n")
