"""What goes along with a horse besides its records, and that all of it comes back the same."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from annotate.errors import BarnTrouble, Trouble
from annotate.handed_besides import read_decisions, read_pointed, read_seen, read_texts
from annotate.handed_records import write_records
from annotate.motion.seen import METHOD, TRACKS, Seen
from annotate.motion.suggestions import Decision, Pointed
from store import handing_over
from store.barn import Barn
from store.handing_over import Clashes, Settling, read_handed
from store.wanted import WantedSessions
from tests.store.earlier_file import FIXTURES, fill
from tests.store.made_barns import BOTH, MAY_4, event, put

engines = BOTH


@pytest.fixture
def handed_over(tmp_path: Path) -> Path:
    """Juniper, with something of everything, in 'made.horse' beside 'made.barn'."""
    (tmp_path / "giver").mkdir()
    fill(tmp_path / "giver" / "made.barn", tmp_path / "giver")
    return tmp_path / "giver" / "made.horse"


@pytest.fixture
def fresh(barn: Barn) -> Barn:
    """Another barn, in which every number is another one."""
    for _ in range(3):
        barn.delete_session(barn.add_session("Alder", MAY_4, length_ns=1))
    return barn


def told(barn: Barn, horse: str = "Juniper") -> dict[str, Any]:
    """All that a barn knows of a horse, as it would hand it over; a clip's file may have another name."""
    with barn._reading() as connection:
        handed, _ = handing_over.read_horse(connection, horse)
    said: dict[str, Any] = json.loads(write_records(handed))
    for one in said["sessions"]:
        for clip in one["clips"]:
            clip.pop("name")
    return said


@pytest.mark.parametrize("with_clips", [False, True])
def test_everything_of_a_horse_comes_back_the_same(
    handed_over: Path, fresh: Barn, tmp_path: Path, with_clips: bool
) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        giver.keep_setting("desk.following.1", '{"1": [[5, 0.5, 0.25]], "2": [[9, 0.1, 0.2]]}')
        giver.put_session(2, "archive")
        first = giver.clips(1)[0]
        giver.keep_decision(Decision(first.id, "spook", 46_000, None, "refused"))
        giver.point(first, Pointed(9000, 0.5, 1.0, heeded=True))
        giver.put_horse(1, "archive")
        giver.hand_over("Juniper", tmp_path / "new.horse", with_clips=with_clips)
        before = told(giver)
        fresh.take_in(read_handed(tmp_path / "new.horse"))
        assert told(fresh) == before
        assert before["horse"]["where"] == before["sessions"][1]["where"] == "archive"
        assert len(before["sessions"][0]["texts"]) == 4
        assert len(before["sessions"][0]["clips"][0]["decisions"]) == 2
        assert before["sessions"][0]["clips"][0]["pointed"] == [[1000, 0.25, 0.5, False], [9000, 0.5, 1, True]]
        seen = giver.seen(giver.clips(1)[0]), fresh.seen(fresh.clips(4)[0])
    assert seen[0] is not None
    assert seen[1] is not None
    assert seen[0].to_bytes() == seen[1].to_bytes()


def test_texts_go_to_the_session_under_its_number_here(handed_over: Path, fresh: Barn) -> None:
    fresh.take_in(read_handed(handed_over))
    [row] = [one for one in fresh.sessions("Juniper") if one.day == MAY_4]
    assert row.id != 1
    assert fresh.setting(f"second_look.{row.id}.who") == "helper"
    assert fresh.setting("second_look.1.who") is None


def test_a_session_whose_number_begins_alike_keeps_its_texts(handed_over: Path) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        giver.keep_setting("second_look.11.who", "somebody else")
        assert "somebody else" not in str(told(giver))


def test_theirs_replaces_the_texts_too(handed_over: Path, fresh: Barn) -> None:
    handed = read_handed(handed_over)
    fresh.take_in(handed)
    session_id = fresh.find_session("Juniper/2026-05-04")
    fresh.keep_setting(f"second_look.{session_id}.who", "me")
    fresh.keep_setting(f"second_look.{session_id}.3.who", "me again")
    with pytest.raises(Clashes, match="was changed here or there"):
        fresh.take_in(handed)
    fresh.take_in(handed, Settling(choice="theirs"))
    assert fresh.setting(f"second_look.{session_id}.who") == "helper"
    assert fresh.setting(f"second_look.{session_id}.3.who") is None


def test_what_was_replaced_by_theirs_clashes_with_nothing_any_more(handed_over: Path, fresh: Barn) -> None:
    handed = read_handed(handed_over)
    fresh.take_in(handed)
    session_id = fresh.find_session("Juniper/2026-05-04")
    fresh.record_step(fresh.find_session("Juniper/2026-05-06"), "own_step")
    fresh.change_session(session_id, title="Ours")
    fresh.place_clip(fresh.clips(session_id)[1].id, 90_000_000_000, Fraction(4), view=2)
    assert len(fresh.clashes(handed)) == 2
    assert fresh.take_in(handed, Settling(choice="theirs")).replaced == 2
    assert fresh.clashes(handed) == []
    placed = fresh.session(session_id).clips[1]
    assert (placed.starts_ns, placed.capture_speed, placed.view) == (100_000_000_000, 8, 1)


def test_a_file_that_says_nothing_of_texts_leaves_those_that_are_here(fresh: Barn) -> None:
    handed = read_handed(FIXTURES / "0001.horse")
    fresh.take_in(handed)
    session_id = fresh.find_session("Juniper/2026-05-04")
    fresh.keep_setting(f"second_look.{session_id}.who", "me")
    assert fresh.take_in(handed).kept == 2
    put(fresh, session_id, event("buck", 1))
    fresh.take_in(handed, Settling(choice="theirs"))
    assert fresh.setting(f"second_look.{session_id}.who") == "me"


def test_sessions_are_settled_one_by_one(handed_over: Path, fresh: Barn) -> None:
    handed = read_handed(handed_over)
    fresh.take_in(handed)
    numbers = [fresh.find_session(f"Juniper/2026-05-0{day}") for day in (4, 6)]
    for number in numbers:
        put(fresh, number, event("buck", 3))
    clashes = fresh.clashes(handed)
    assert len(clashes) == 2
    first, second = (clash.uid for clash in clashes)
    assert len(fresh.clashes(handed, Settling(choices={first: "keep"}))) == 1
    came = fresh.take_in(handed, Settling(choices={first: "keep", second: "theirs"}))
    assert (came.kept, came.replaced) == (1, 1)
    assert ["buck" in {tag.what for tag in fresh.tags(number)} for number in numbers] == [True, False]


def test_a_session_in_the_bin_comes_back_only_if_it_is_said(handed_over: Path, fresh: Barn) -> None:
    handed = read_handed(handed_over)
    fresh.take_in(handed)
    fresh.put_session(fresh.find_session("Juniper/2026-05-06"), "bin")
    with pytest.raises(Clashes, match=r"Juniper, 6 May 2026 lies in the bin here"):
        fresh.take_in(handed)
    fresh.take_in(handed, Settling(choice="keep"))
    assert len(fresh.sessions("Juniper")) == 1
    fresh.take_in(handed, Settling(choice="theirs"))
    assert len(fresh.sessions("Juniper")) == 2


def test_a_horse_in_the_bin_is_not_handed_over(handed_over: Path, tmp_path: Path) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        giver.put_horse(1, "bin")
        with pytest.raises(BarnTrouble, match="Bring the horse back first"):
            giver.hand_over("Juniper", tmp_path / "new.horse")


def test_what_lies_in_the_bin_stays(handed_over: Path, fresh: Barn, tmp_path: Path) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        giver.put_session(2, "bin")
        giver.hand_over("Juniper", tmp_path / "new.horse")
    fresh.take_in(read_handed(tmp_path / "new.horse"))
    assert len(fresh.find_sessions(WantedSessions(where=None))) == 1


def own_ways(barn: Barn) -> tuple[str, str]:
    """A sheet and a programme that are not those that a barn begins with; as they are kept."""
    barn.keep_sheet(barn.sheet_text() + "\n# ours\n")
    barn.keep_programme(barn.programme().text + "\n# ours\n")
    return barn.sheet_text(), barn.programme().text


def test_an_empty_barn_takes_their_sheet_and_their_programme(
    handed_over: Path, barn: Barn, tmp_path: Path
) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        ways = own_ways(giver)
        giver.hand_over("Juniper", tmp_path / "new.horse")
    barn.take_in(read_handed(tmp_path / "new.horse"))
    assert (barn.sheet_text(), barn.programme().text) == ways


def test_a_barn_with_a_horse_keeps_its_own_sheet_and_programme(
    handed_over: Path, barn: Barn, tmp_path: Path
) -> None:
    barn.add_horse("Alder")
    before = barn.sheet_text(), barn.programme().text
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        own_ways(giver)
        giver.hand_over("Juniper", tmp_path / "new.horse")
    barn.take_in(read_handed(tmp_path / "new.horse"))
    assert (barn.sheet_text(), barn.programme().text) == before


def test_ways_that_cannot_be_used_do_not_come_along(handed_over: Path, barn: Barn, tmp_path: Path) -> None:
    with Barn.open(handed_over.with_name("made.barn")) as giver:
        with giver._reading() as connection:
            handed, files = handing_over.read_horse(connection, "Juniper")
        ways = {handing_over.SHEET: "no sheet", handing_over.PROGRAMME: "[["}
        handing_over.write_handed(handed, files, ways, tmp_path / "new.horse", False)
    before = barn.sheet_text()
    assert barn.take_in(read_handed(tmp_path / "new.horse")).added == 2
    assert barn.sheet_text() == before


# -- what is hostile


@pytest.mark.parametrize(
    "texts",
    [
        [],
        {"sheet": "x"},
        {"second_look.1": "x"},
        {"second_look.{}.../etc": "x"},
        {"second_look.{}": "{}"},
        {"second_look.{}.3": "[]"},
        {"second_look.{}.day": "tomorrow"},
        {"second_look.{}.verdicts": "[]"},
        {"second_look.{}.verdicts": "[" * 100_000},
        {"second_look.{}.who": 3},
        {"second_look.{}.who": "\0"},
        {"desk.following.{}": "[]"},
        {"desk.following.{}": '{"x": 3}'},
    ],
)
def test_texts_that_make_no_sense_are_refused(texts: object) -> None:
    with pytest.raises(Trouble):
        read_texts(texts)


@pytest.mark.parametrize(
    "row",
    [
        [],
        [0, "walk", 0, 1, "taken", "", 2],
        [1, "Walk!", 0, 1, "taken", "", 2],
        [1, "walk", 5, 5, "taken", "", 2],
        [1, "walk", 0, 1, "perhaps", "", 2],
        [1, "walk", 0, 1, "taken", "../x", 2],
        [1, "walk", 0, 1, "taken", "", 2**40],
        [2**64, "walk", 0, 1, "taken", "", 2],
    ],
)
def test_a_decision_that_makes_no_sense_is_refused(row: list[Any]) -> None:
    with pytest.raises(BarnTrouble):
        read_decisions([row], 0)


@pytest.mark.parametrize(
    "rows",
    [
        None,
        [[0, 0.5, 0.5]],
        [[0, 1.5, 0.5, False]],
        [[0, float("nan"), 0.5, False]],
        [[0, 0.5, 0.5, 1]],
        [[0, 0.5, 0.5, True], [0, 0.1, 0.1, True]],
    ],
)
def test_a_place_that_cannot_have_been_pointed_at_is_refused(rows: Any) -> None:
    with pytest.raises(BarnTrouble):
        read_pointed(rows)


def whole_seen(**changes: Any) -> Seen:
    rows = {name: np.zeros(4, dtype=np.float32) for name in TRACKS}
    return replace(Seen(60.0, 1.5, rows, (9.0,), (), ()), **changes)


def packed(change: Callable[[dict[str, Any]], None]) -> bytes:
    """What was seen, its rows changed before they are packed."""
    with np.load(io.BytesIO(whole_seen().to_bytes())) as rows:
        entries: dict[str, Any] = {name: rows[name] for name in rows.files}
    change(entries)
    out = io.BytesIO()
    np.savez_compressed(out, **entries)
    return out.getvalue()


def test_what_was_seen_comes_back() -> None:
    kept = whole_seen().to_bytes()
    assert read_seen(kept) == kept


def test_what_another_method_saw_is_watched_again() -> None:
    assert read_seen(whole_seen(method=METHOD + 1).to_bytes()) is None


@pytest.mark.parametrize(
    "kept",
    [
        b"",
        b"PK",
        whole_seen().to_bytes()[:-40],
        whole_seen(cuts=("x",)).to_bytes(),
        whole_seen(length_s=float("inf")).to_bytes(),
        packed(lambda rows: rows.pop("x")),
        packed(lambda rows: rows.update(x=np.zeros(5, dtype=np.float32))),
        packed(lambda rows: rows.update(x=np.zeros(4))),
        packed(lambda rows: rows.update(x=np.array([{}], dtype=object))),
        packed(lambda rows: rows.update(facts=np.zeros(3, dtype=np.uint8))),
        packed(lambda rows: rows.update(facts=np.frombuffer(b"[]", dtype=np.uint8))),
    ],
)
def test_what_cannot_have_been_seen_is_refused(kept: bytes) -> None:
    with pytest.raises(BarnTrouble):
        read_seen(kept)


def test_what_was_seen_cannot_grow_beyond_measure() -> None:
    bomb = packed(lambda rows: rows.update(x=np.zeros(33 << 20, dtype=np.float32)))
    assert len(bomb) < 1 << 20
    with pytest.raises(BarnTrouble, match="grow beyond measure"):
        read_seen(bomb)


def test_the_first_versions_file_has_no_such_things() -> None:
    with zipfile.ZipFile(FIXTURES / "0001.horse") as file:
        assert not [name for name in file.namelist() if name.startswith("seen/")]
