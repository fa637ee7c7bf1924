from __future__ import annotations

import json
import stat
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from hashlib import blake2b
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from annotate.errors import BarnTrouble, Cancelled, Trouble
from annotate.horses import Horse
from annotate.passages import Passage
from annotate.tagging import Change
from store.barn import Barn
from store.handed_file import MANIFEST, RECORDS
from store.handing_over import Clashes, Settling, read_handed
from store.rolling import backups, usual_folder
from tests.store.made_barns import BOTH, MAY_4, event, identified, new_clip, put, state

engines = BOTH

KEEP, THEIRS = Settling(choice="keep"), Settling(choice="theirs")


@pytest.fixture
def giver(barn: Barn, tmp_path: Path) -> Barn:
    """A barn with Juniper: one session of two clips with tags of two looks and a passage, one without."""
    (tmp_path / "card").mkdir()
    clips = [new_clip(tmp_path / "card" / "a.mp4"), new_clip(tmp_path / "card" / "b.mp4", starts_s=100)]
    barn.keep_horse(Horse(0, "Juniper", "mare", "bay", owner="R. Hollow"))
    first = barn.add_session(
        "Juniper", MAY_4, clips, title="Flag", details={"footing": "sand", "tack": "pad"}
    )
    barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
    clip = barn.session(first).clips[1]
    hung = replace(event("spook", 105), start_frame=clip.mark(clip.pts_at(105_000_000_000)))
    put(barn, first, state("walk", 0, 30), hung, event("calm", 120))
    barn.apply(first, Change((), (state("walk", 0, 31),)), look=2)
    barn.keep_passages(first, [Passage(0, 5_000_000_000, "start", start_frame=clip.mark(clip.first_pts))])
    return barn


@pytest.fixture
def taker(made_barn: Path, tmp_path: Path) -> Iterator[Barn]:
    (tmp_path / "there").mkdir()
    path = tmp_path / "there" / "your.barn"
    path.write_bytes(made_barn.read_bytes())
    with Barn.open(path) as opened:
        opened.add_session("Alder", MAY_4, length_ns=600_000_000_000)
        yield opened


@pytest.fixture
def file(giver: Barn, tmp_path: Path) -> Path:
    giver.hand_over("juniper", tmp_path / "juniper.horse", with_clips=True)
    return tmp_path / "juniper.horse"


def counts(barn: Barn) -> list[tuple[str, int, int]]:
    return [(row.horse, row.clips, row.tags) for row in barn.sessions()]


def left_in(folder: Path) -> list[str]:
    return sorted(
        path.name for path in folder.rglob("*") if not path.name.endswith((".open", "-wal", "-shm"))
    )


def test_a_horse_arrives_with_all_that_hangs_on_it(giver: Barn, taker: Barn, file: Path) -> None:
    came = taker.take_in(read_handed(file))
    assert (came.added, came.replaced, came.kept, came.tags, came.unknown) == (2, 0, 0, 4, ())
    assert replace(taker.horse("Juniper"), id=1) == replace(giver.horse("Juniper"), id=1)
    ours, theirs = taker.find_session("Juniper/2026-05-04"), giver.find_session("Juniper/2026-05-04")
    assert taker.session(ours).details == giver.session(theirs).details
    for look in (1, 2):
        there, here = identified(giver.tags(theirs, look)), identified(taker.tags(ours, look))
        assert [(number, replace(tag, start_frame=None)) for number, tag in here] == [
            (number, replace(tag, start_frame=None)) for number, tag in there
        ]
    spook = next(tag for tag in taker.tags(ours) if tag.what == "spook")
    assert spook.start_frame is not None
    clip = taker.session(ours).clip(spook.start_frame.clip)
    assert clip.session_ns(spook.start_frame.pts) == spook.start_ns
    assert taker.passages(ours)[0].caption == "start"


def test_the_clips_arrive_beside_the_barn(giver: Barn, taker: Barn, file: Path) -> None:
    taker.take_in(read_handed(file))
    for clip in taker.all_clips():
        assert clip.path.parent == taker.path.with_name("your.clips")
        assert clip.path.read_bytes() in (b"pictures of a.mp4", b"pictures of b.mp4")


def test_a_horse_without_clips_arrives_with_its_tags(giver: Barn, taker: Barn, tmp_path: Path) -> None:
    giver.hand_over("Juniper", tmp_path / "light.horse")
    taker.take_in(read_handed(tmp_path / "light.horse"))
    assert counts(taker) == [("Alder", 0, 0), ("Juniper", 2, 3), ("Juniper", 0, 0)]
    assert all(clip.missing for clip in taker.all_clips())
    assert str(tmp_path / "card") not in str([clip.path for clip in taker.all_clips()])


def test_a_horse_that_is_taken_in_twice_stays_as_it_is(taker: Barn, file: Path) -> None:
    taker.take_in(read_handed(file))
    before = counts(taker)
    came = taker.take_in(read_handed(file))
    assert (came.added, came.replaced, came.kept) == (0, 0, 2)
    assert counts(taker) == before


def test_a_horse_comes_back_with_what_was_added_elsewhere(
    giver: Barn, taker: Barn, file: Path, tmp_path: Path
) -> None:
    taker.take_in(read_handed(file))
    taker.add_session("Juniper", MAY_4, length_ns=600_000_000_000, title="Saddle")
    taker.hand_over("Juniper", tmp_path / "back.horse")
    giver.take_in(read_handed(tmp_path / "back.horse"))
    assert [row.title for row in giver.sessions()] == ["Flag", "", "Saddle"]


@pytest.mark.parametrize(("how", "whats"), [(KEEP, ["buck", "spook"]), (THEIRS, ["spook"])])
def test_a_session_that_both_changed_is_settled_by_the_person(
    giver: Barn, taker: Barn, file: Path, tmp_path: Path, how: Settling, whats: list[str]
) -> None:
    taker.take_in(read_handed(file))
    second = taker.find_session("Juniper/2026-05-04/2")
    put(taker, second, event("buck", 3), event("spook", 4))
    put(giver, 2, event("spook", 9))
    giver.hand_over("Juniper", tmp_path / "again.horse")
    handed = read_handed(tmp_path / "again.horse")
    with pytest.raises(Clashes, match=r"Juniper, 4 May 2026, session 2 was changed here or there"):
        taker.take_in(handed)
    assert [tag.what for tag in taker.tags(second)] == ["buck", "spook"]
    taker.take_in(handed, how)
    assert [tag.what for tag in taker.tags(second)] == whats


def test_before_anything_is_replaced_a_backup_is_kept(taker: Barn, file: Path) -> None:
    taker.take_in(read_handed(file))
    kept = backups(taker.path, usual_folder(taker.path))
    with Barn.open(kept[0].path) as before:
        assert counts(before) == [("Alder", 0, 0)]


def test_another_horse_of_the_same_name_is_settled_by_the_person(taker: Barn, file: Path) -> None:
    taker.add_horse("JUNIPER")
    handed = read_handed(file)
    with pytest.raises(Clashes, match="Another horse here is named JUNIPER"):
        taker.take_in(handed)
    taker.take_in(handed, Settling(as_name="Juniper of the mill"))
    assert [horse.name for horse in taker.horses()] == ["Alder", "JUNIPER", "Juniper of the mill"]


def test_two_horses_that_are_one_are_joined(taker: Barn, file: Path) -> None:
    taker.add_session("Juniper", MAY_4, length_ns=1)
    taker.take_in(read_handed(file), Settling(join=True))
    assert [row.number for row in taker.sessions("Juniper")] == [1, 2, 3]


@pytest.mark.parametrize(("how", "sessions"), [(KEEP, [(0, 0)]), (THEIRS, [(1, 3), (0, 0)])])
def test_a_recording_that_is_here_already_is_settled_by_the_person(
    taker: Barn, file: Path, tmp_path: Path, how: Settling, sessions: list[tuple[int, int]]
) -> None:
    taker.add_session("Alder", MAY_4, [new_clip(tmp_path / "x.mp4", content=b"pictures of b.mp4")])
    handed = read_handed(file)
    with pytest.raises(Clashes, match=r"b.mp4 of 4 May 2026 is here already, in Alder, 4 May 2026, session 2"):
        taker.take_in(handed)
    taker.take_in(handed, how)
    assert [(row.clips, row.tags) for row in taker.sessions("Juniper")] == sessions


def test_behaviours_that_are_not_on_the_sheet_here_are_named(
    taker: Barn, giver: Barn, tmp_path: Path
) -> None:
    put(giver, 2, event("piaffe_try", 3))
    giver.hand_over("Juniper", tmp_path / "new.horse")
    assert taker.take_in(read_handed(tmp_path / "new.horse")).unknown == ("piaffe_try",)


def test_a_horse_with_a_lost_clip_is_not_handed_over_with_clips(giver: Barn, tmp_path: Path) -> None:
    giver.all_clips()[0].path.unlink()
    with pytest.raises(BarnTrouble, match="gone or has changed"):
        giver.hand_over("Juniper", tmp_path / "new.horse", with_clips=True)
    assert not (tmp_path / "new.horse").exists()


def test_what_is_cancelled_leaves_nothing_behind(
    giver: Barn, taker: Barn, file: Path, tmp_path: Path
) -> None:
    with pytest.raises(Cancelled):
        giver.hand_over("Juniper", tmp_path / "new.horse", cancelled=lambda: True)
    assert not (tmp_path / "new.horse").exists()
    with pytest.raises(Cancelled):
        taker.take_in(read_handed(file), cancelled=lambda: True)
    assert counts(taker) == [("Alder", 0, 0)]
    assert list(taker.path.with_name("your.clips").iterdir()) == []


# -- hostile files


def rebuilt(file: Path, change: Callable[[dict[str, bytes]], None], *, honest: bool = True) -> Path:
    """The file with other content; `honest`: the manifest agrees with it."""
    with zipfile.ZipFile(file) as old:
        entries = {name: old.read(name) for name in old.namelist()}
    change(entries)
    if honest:
        said = json.loads(entries.pop(MANIFEST))
        said["entries"] = {
            name: {"size": len(content), "blake2b": blake2b(content).hexdigest()}
            for name, content in entries.items()
        }
        entries[MANIFEST] = json.dumps(said).encode()
    made = file.with_name("hostile.horse")
    with zipfile.ZipFile(made, "w") as new:
        for name, content in entries.items():
            packed = zipfile.ZIP_STORED if name.startswith("clips/") else zipfile.ZIP_DEFLATED
            new.writestr(name, content, packed)
    return made


def refused(taker: Barn, made: Path) -> str:
    """Takes it in, which must fail and change nothing."""
    before, files = counts(taker), left_in(taker.path.parent)
    with pytest.raises(BarnTrouble) as told:
        taker.take_in(read_handed(made))
    assert counts(taker) == before
    after = [name for name in left_in(taker.path.parent) if "Z.barn" not in name]
    assert [name for name in after if name not in ("your.backups", "your.clips")] == files
    return str(told.value)


@pytest.mark.parametrize(
    "name",
    ["../evil.txt", "/etc/evil", "clips/../../evil.mp4", "clips\\evil.mp4", "C:/evil", "clips/1.mp4/x"],
)
def test_an_entry_that_leads_elsewhere_is_refused(taker: Barn, file: Path, name: str) -> None:
    made = rebuilt(file, lambda entries: entries.update({name: b"evil"}))
    assert "was not made by Railside" in refused(taker, made)


@pytest.mark.parametrize("name", [RECORDS, "frames/0", "sheet.toml"])
def test_an_entry_that_would_grow_beyond_measure_is_refused(taker: Barn, file: Path, name: str) -> None:
    made = rebuilt(file, lambda entries: entries.update({name: bytes(40 << 20)}))
    assert "grow beyond measure" in refused(taker, made)


def test_frame_times_that_would_grow_beyond_measure_are_refused(taker: Barn, file: Path) -> None:
    import zlib

    bomb = zlib.compressobj(9)
    packed = b"".join(bomb.compress(bytes(1 << 20)) for _ in range(300)) + bomb.flush()
    made = rebuilt(file, lambda entries: entries.update({"frames/0": entries["frames/0"][:52] + packed}))
    assert refused(taker, made)


def test_a_compressed_clip_is_refused(taker: Barn, file: Path) -> None:
    made = rebuilt(file, lambda entries: None)
    with zipfile.ZipFile(made) as old:
        entries = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in entries.items():
            new.writestr(name, content * (1000 if name.startswith("clips/") else 1))
    assert "a clip of it is compressed" in refused(taker, made)


def test_a_link_is_refused(taker: Barn, file: Path) -> None:
    made = rebuilt(file, lambda entries: None)
    link = zipfile.ZipInfo("clips/7.mp4")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(made, "a") as new:
        new.writestr(link, "/etc/passwd")
    assert "something else than files" in refused(taker, made)


@pytest.mark.parametrize("name", [RECORDS, "frames/1", "clips/0.mp4", "clips/1.mp4", "sheet.toml"])
def test_an_entry_with_another_hash_is_refused(taker: Barn, file: Path, name: str) -> None:
    def change(entries: dict[str, bytes]) -> None:
        entries[name] = entries[name][:-1] + b"!"

    assert "not what was handed over" in refused(taker, rebuilt(file, change, honest=False))


def test_a_clip_that_is_another_one_is_refused(taker: Barn, file: Path) -> None:
    made = rebuilt(file, lambda entries: entries.update({"clips/0.mp4": b"another horse"}))
    assert "a clip is another one" in refused(taker, made)


def test_a_file_of_a_newer_version_is_refused(taker: Barn, file: Path) -> None:
    def change(entries: dict[str, bytes]) -> None:
        entries[MANIFEST] = json.dumps({**json.loads(entries[MANIFEST]), "version": 3}).encode()

    assert "newer Railside (version 3)" in refused(taker, rebuilt(file, change))


@pytest.mark.parametrize("content", [b"", b"PK", b"a photograph" * 100])
def test_another_kind_of_file_is_refused(taker: Barn, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.horse").write_bytes(content)
    assert "no horse handed over" in refused(taker, tmp_path / "x.horse")


def test_a_file_that_was_cut_off_is_refused(taker: Barn, file: Path) -> None:
    file.write_bytes(file.read_bytes()[:-200])
    assert "no horse handed over, or is damaged" in refused(taker, file)


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("horse", "name"), ""),
        (("horse", "uid"), "../x"),
        (("horse", "weight_kg"), -1),
        (("sessions", 0, "day"), "yesterday"),
        (("sessions", 0, "length_ns"), 2**70),
        (("sessions", 0, "tags", "1", 0, 2), -5),
        (("sessions", 0, "tags", "1", 0, 0), 2**64),
        (("sessions", 0, "tags", "1", 0, 9), [9, 0]),
        (("sessions", 0, "tags", "1", 0, 1), "DROP TABLE"),
        (("sessions", 0, "clips", 0, "capture_speed"), "1/0"),
        (("sessions", 0, "clips", 0, "coded_size"), [0, 10**9]),
        (("sessions", 0, "details"), {"title": 3}),
        (("sessions",), None),
    ],
)
def test_records_that_make_no_sense_are_refused(
    taker: Barn, file: Path, where: tuple[str | int, ...], value: object
) -> None:
    def change(entries: dict[str, bytes]) -> None:
        said = json.loads(entries[RECORDS])
        place = said
        for step in where[:-1]:
            place = place[step]
        place[where[-1]] = value
        entries[RECORDS] = json.dumps(said).encode()

    assert "make no sense" in refused(taker, rebuilt(file, change))


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_spoilt_file_is_taken_in_by_half(taker: Barn, file: Path, data: st.DataObject) -> None:
    content = bytearray(file.read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at] ^= data.draw(st.integers(1, 255))
    made = file.with_name("spoilt.horse")
    made.write_bytes(content)
    before = counts(taker)
    try:
        taker.take_in(read_handed(made))
    except Trouble:
        assert counts(taker) == before
    else:
        # What was spoilt was of no account, such as a time in the archive's list.
        assert len(counts(taker)) == 3
