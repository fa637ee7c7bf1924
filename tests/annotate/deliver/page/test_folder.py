"""The folder and its zip: whole or not at all, and nothing in them but what was chosen."""

from __future__ import annotations

import os
import re
import zipfile
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from annotate.behaviours import Sheet
from annotate.deliver.page.choice import Choice, Rung, Work
from annotate.deliver.page.folder import file_name, write_page
from annotate.deliver.series import series
from annotate.deliver.watch import Watch
from annotate.errors import Cancelled, ClipTrouble, Trouble
from annotate.passages import Passage
from tests.annotate.deliver.page.made import HOSTILE, WORKED, S, earlier, filmed, material, session
from tests.annotate.tagged import SHEET, event, state
from tests.made_clips import ClipBox
from tests.store.children import without_room

ADDRESSES = ("href", "src", "poster", "data", "action", "srcset", "background", "cite", "formaction")
VOID = {"meta", "link", "br", "img"}


class Reader(HTMLParser):
    """Every element with its attributes, and the text; elements must be closed in the order they open."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self._open or self._open[-1] != "style":
            self.text.append(data)

    @property
    def addresses(self) -> set[str]:
        every = (item for _, attrs in self.elements for item in attrs.items())
        return {value or "" for name, value in every if name in ADDRESSES}


def read(page: Path) -> Reader:
    return Reader(page.read_text(encoding="utf-8"))


def only_harmless(reader: Reader) -> bool:
    names = {tag for tag, _ in reader.elements}
    handlers = [name for _, attrs in reader.elements for name in attrs if name.startswith("on")]
    return not names & {"script", "iframe", "object", "embed", "form", "base", "b", "i"} and not handlers


def test_every_file_the_page_names_is_in_the_folder_and_every_file_is_named(
    clips: ClipBox, tmp_path: Path
) -> None:
    one = filmed(clips.get("constant_25").path, Passage(0, S, "a"), Passage(S, 2 * S, "b", 1))
    page, _ = write_page(one, tmp_path)
    named = read(page).addresses - {"data:,"}
    assert named == {path.name for path in page.parent.iterdir()} - {"index.html"}
    assert "url(" not in page.read_text()
    assert "//" not in re.sub(r'xmlns="http://www.w3.org/2000/svg"', "", page.read_text())


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_in_every_field_stays_text(clips: ClipBox, tmp_path: Path, text: str) -> None:
    name = " ".join(text.split())[:100].replace("/", "-") or "x"
    groups = tuple(replace(group, title=text) for group in SHEET.groups)
    sheet = Sheet(groups, tuple(replace(behaviour, title=text) for behaviour in SHEET.behaviours))
    tags = (state("walk", 0, 3, note=text), event("gone", 1, note=text, stimulus="flag"))
    one = replace(
        filmed(clips.get("constant_25").path, Passage(0, S // 5, text), tags=tags, horse=name),
        sheet=sheet,
        choice=Choice(heading=text, words=text, next_words=text, signed=text).without("clips"),
        ladder=(Rung(text, text),),
    )
    one = replace(one, choice=replace(one.choice, parts=one.choice.parts | {"ladder"}))
    page, packed = write_page(one, tmp_path)
    reader = read(page)
    assert only_harmless(reader)
    assert all(re.fullmatch(r"[a-z0-9.-]+|data:,", address) for address in reader.addresses)
    said = " ".join("".join(reader.text).split())
    shown = " ".join(text.translate(dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e"))).split())
    assert said.count(shown) >= 5
    with zipfile.ZipFile(packed) as opened:
        assert opened.testzip() is None


def test_nothing_is_in_it_that_was_not_chosen(clips: ClipBox, tmp_path: Path) -> None:
    tags = (state("walk", 0, 3, note="owes me money"), event("spook", 1, severity=2, note="private"))
    one = filmed(clips.get("constant_25").path, Passage(0, S, "a"), tags=tags)
    one = replace(one, session=replace(one.session, details={"title": "SECRET", "note": "SECRET"}))
    page, packed = write_page(one, tmp_path)
    everything = page.read_text() + "".join(path.name for path in page.parent.iterdir())
    for private in ("owes me", "private", "SECRET", "constant_25", str(tmp_path), "Rosie"):
        assert private not in everything
    for path in page.parent.iterdir():
        assert b"Exif" not in path.read_bytes()
        assert str(tmp_path).encode() not in path.read_bytes()
    with zipfile.ZipFile(packed) as opened:
        assert {entry.date_time for entry in opened.infolist()} == {(2026, 5, 25, 0, 0, 0)}
        assert opened.comment == b""


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ("words", "was in view for"),
        ("work_line", "The work line"),
        ("left_right", "Left and right"),
        ("reactions", "Reactions and recovery"),
        ("passages", "Spook at trot"),
    ],
)
def test_a_part_that_is_not_chosen_is_not_there(tmp_path: Path, part: str, words: str) -> None:
    with_it = write_page(material(), tmp_path / "with")[0].read_text()
    without = write_page(replace(material(), choice=Choice().without(part)), tmp_path / "without")[0]
    assert words in with_it
    assert words not in without.read_text()


def test_then_and_now_stand_side_by_side_in_plain_words(tmp_path: Path) -> None:
    said = " ".join(" ".join(read(write_page(material(earlier=earlier()), tmp_path)[0]).text).split())
    assert "4 May 2026 25 May 2026 Reactions" in said
    assert "could be as low as 0.24 or as high as 1.45 a minute" in said
    assert "One session each shows a difference between days" in said
    assert not re.search(r"\bp\s*[=<]|p-value|significan", said)


def test_another_horses_session_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="one horse only"):
        write_page(material(earlier=earlier(horse="Rosie")), tmp_path)
    with pytest.raises(Trouble, match="about one horse"):
        series(material(series=(earlier(horse="Rosie"),)))


def test_the_zip_holds_the_folder_and_no_name_leads_out_of_it(clips: ClipBox, tmp_path: Path) -> None:
    page, packed = write_page(filmed(clips.get("constant_25").path, Passage(0, S, "a")), tmp_path)
    with zipfile.ZipFile(packed) as opened:
        names = opened.namelist()
        opened.extractall(tmp_path / "out")
    assert all(re.fullmatch(r"Bramble-2026-05-25/[a-z0-9-]+\.(html|mp4|jpg)", name) for name in names)
    for path in page.parent.iterdir():
        assert (tmp_path / "out" / page.parent.name / path.name).read_bytes() == path.read_bytes()


def test_a_second_page_takes_the_place_of_the_first_and_touches_nothing_else(
    clips: ClipBox, tmp_path: Path
) -> None:
    clip = clips.get("constant_25").path
    two = (Passage(0, S // 5, "a"), Passage(S, 6 * S // 5, "b", 1))
    page, _ = write_page(filmed(clip, *two), tmp_path)
    (page.parent / "own.txt").write_text("mine")
    write_page(filmed(clip, two[0]), tmp_path)
    names = {path.name for path in page.parent.iterdir()}
    assert "own.txt" in names
    assert {name for name in names if "2" in name.split("-")[1:2]} == set()
    assert "passage-1.mp4" in names


def test_stopped_it_leaves_nothing(clips: ClipBox, tmp_path: Path) -> None:
    asked: list[int] = []

    def is_cancelled() -> bool:
        asked.append(1)
        return len(asked) > 3

    one = filmed(clips.get("constant_25").path, Passage(0, S, "a"))
    with pytest.raises(Cancelled):
        write_page(one, tmp_path / "to", Watch(is_cancelled=is_cancelled))
    assert list((tmp_path / "to").iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="the limit of a file's size is set as POSIX has it")
@pytest.mark.parametrize("room", [1_000, 12_000, 50_000])
def test_a_full_disk_leaves_nothing_new_and_is_said(clips: ClipBox, tmp_path: Path, room: int) -> None:
    one = filmed(clips.get("constant_25").path, Passage(0, 3 * S, "a"))
    page, packed = write_page(one, tmp_path / "to")
    before = {path: path.read_bytes() for path in (tmp_path / "to").rglob("*") if path.is_file()}
    assert max(len(data) for data in before.values()) > 50_000
    said = without_room(lambda: write_page(one, tmp_path / "to"), room)
    assert re.fullmatch(r"Trouble: .* could not be written: the disk cannot hold .*", said)
    assert {path: path.read_bytes() for path in (tmp_path / "to").rglob("*") if path.is_file()} == before
    assert {path.name for path in (tmp_path / "to").iterdir()} == {page.parent.name, packed.name}


@pytest.mark.parametrize("name", ["-y", "concat:a|b", "http:x", "two\nlines", "'a' \"b\" %d;=[x]\\", "🐴 ü"])
def test_the_folder_may_be_called_anything(clips: ClipBox, tmp_path: Path, name: str) -> None:
    page, _ = write_page(filmed(clips.get("constant_25").path, Passage(0, S // 5, "a")), tmp_path / name)
    assert (page.parent / "passage-1.mp4").stat().st_size > 0
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_progress_counts_frames_to_the_end(clips: ClipBox, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    one = filmed(clips.get("constant_25").path, Passage(0, S, "a"))
    write_page(one, tmp_path, Watch(lambda done, of: told.append((done, of))))
    assert told == [(n, 26) for n in range(1, 27)]


def test_a_clip_that_is_gone_is_said_and_nothing_is_left(clips: ClipBox, tmp_path: Path) -> None:
    moved = tmp_path / "moved.mp4"
    moved.write_bytes(clips.get("constant_25").path.read_bytes())
    one = filmed(moved, Passage(0, S, "a"))
    moved.unlink()
    with pytest.raises(ClipTrouble, match=r"moved\.mp4"):
        write_page(one, tmp_path / "to")
    assert list((tmp_path / "to").iterdir()) == []


@pytest.mark.parametrize(
    ("horse", "name"),
    [
        ("Bramble", "Bramble-2026-05-25"),
        ("Émile d'Or", "Emile-d-Or-2026-05-25"),
        ("馬", "horse-2026-05-25"),
        ("../../etc", "etc-2026-05-25"),
        ("CON", "CON-2026-05-25"),
        ("x" * 100, f"{'x' * 40}-2026-05-25"),
    ],
)
def test_every_system_takes_the_name(horse: str, name: str) -> None:
    assert file_name(replace(session(), horse=horse)) == name
    assert file_name(replace(session(), horse=horse, number=2)) == f"{name}-2"


def test_hostile_text_stays_text_over_several_sessions() -> None:
    for text in HOSTILE:
        name = " ".join(text.split())[:100] or "x"
        one = material(horse=name, series=(earlier(horse=name), Work(replace(session(), horse=name), WORKED)))
        reader = Reader(series(replace(one, choice=Choice(signed=text))))
        assert only_harmless(reader)
        assert reader.addresses == {"data:,"}
