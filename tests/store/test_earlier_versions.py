"""Files of every earlier version, made by the code of that time, opened by today's.

`fixtures/0001.barn.gz` and `fixtures/0001.horse` were written by the first version that landed. A later
version's files are made by `earlier_file.py` with the same content, laid beside them and never made anew.
"""

from __future__ import annotations

import gzip
import sqlite3
from contextlib import closing
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from annotate.clock import NS_PER_S
from annotate.horses import Horse
from annotate.tags import FrameMark, Tag
from store.barn import Barn
from store.handing_over import read_handed
from store.safety import check
from store.versions import NEWEST, VERSIONS, recognise
from store.wanted import WantedHorses, WantedSessions
from tests.store.earlier_file import DETAILS, FIXTURES, fill

FILES = sorted(path.name.removesuffix(".barn.gz") for path in FIXTURES.glob("*.barn.gz"))
JUNIPER = Horse(
    id=1,
    name="Juniper",
    sex="mare",
    colour="bay",
    born=date(2023, 4, 1),
    note="worried by bags",
    owner="R. Hollow",
    height_cm=Fraction("157.48"),
    hip_height_cm=Fraction(120),
    weight_kg=420,
)
TAGS = [
    Tag("walk", 0, 30 * NS_PER_S, start_frame=FrameMark(1, 1000)),
    Tag("left_rein", 0, 45_500_000_000),
    Tag("spook", 12_345_678_901, severity=3, stimulus="flag", side="left", note="at the gate"),
    Tag("calm", 20 * NS_PER_S),
    Tag("trot", 100 * NS_PER_S, 105 * NS_PER_S, start_frame=FrameMark(2, 1000), running=True),
]


@pytest.fixture(params=FILES)
def earlier(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A barn as that version left it."""
    path = tmp_path / f"{request.param}.barn"
    path.write_bytes(gzip.decompress((FIXTURES / f"{request.param}.barn.gz").read_bytes()))
    return path


def rows_of(path: Path) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, as SQLite has it."""
    with closing(sqlite3.connect(path)) as bare:
        bare.row_factory = sqlite3.Row
        names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        tables = [row["name"] for row in bare.execute(names) if row["name"] != "alembic_version"]
        return {
            name: [dict(row) for row in bare.execute(f'SELECT * FROM "{name}" ORDER BY 1')] for name in tables
        }


def test_every_version_that_was_followed_by_another_has_a_file_here() -> None:
    assert set(VERSIONS[:-1]) <= set(FILES) <= set(VERSIONS)
    assert "0001" in FILES


def test_todays_file_would_hold_the_same_content(earlier: Path, tmp_path: Path) -> None:
    fill(tmp_path / "made.barn", tmp_path)
    with Barn.open(earlier) as then, Barn.open(tmp_path / "made.barn") as now:
        assert [horse.name for horse in then.horses()] == [horse.name for horse in now.horses()]
        assert then.session(1).details == now.session(1).details
        assert [tag.what for tag in then.tags(1)] == [tag.what for tag in now.tags(1)]


def test_the_file_is_of_its_version(earlier: Path) -> None:
    assert recognise(earlier) == earlier.stem


def test_an_earlier_barn_is_opened_and_keeps_every_row(earlier: Path) -> None:
    before = rows_of(earlier)
    Barn.open(earlier).close()
    after = rows_of(earlier)
    assert recognise(earlier) == NEWEST
    for table, rows in before.items():
        kept = [{column: row[column] for column in old} for row, old in zip(after[table], rows, strict=True)]
        assert kept == rows, table


def test_an_earlier_barn_says_today_what_was_in_it(earlier: Path) -> None:
    with Barn.open(earlier) as barn:
        assert barn.horse("Juniper") == JUNIPER
        [owner] = barn.owners()
        assert (owner.contact, owner.note) == ("at the mill", "rings in the evening")
        assert barn.session(1).details == DETAILS
        assert sorted(barn.tags(1), key=lambda tag: (tag.start_ns, tag.what)) == sorted(
            TAGS, key=lambda tag: (tag.start_ns, tag.what)
        )
        assert [tag.what for tag in barn.tags(1, look=2)] == ["walk", "spook"]
        assert [one.caption for one in barn.passages(1)] == ["start", "walk"]
        assert barn.passages(1)[0].start_frame == FrameMark(1, 451_000)
        first, second = barn.clips(1)
        assert (first.placed.capture_speed, second.placed.capture_speed) == (1, 8)
        assert len(first.table) == 120
        seen = barn.seen(first)
        assert seen is None or seen.cuts == (9.0,)
        assert barn.setting("second_look.1.who") == "helper"
        assert barn.setting("backups folder") == "/media/second disk"
        places = {row.id: row.where for row in barn.find_sessions(WantedSessions(where=None))}
        assert places == {1: "barn", 2: "barn", 3: "archive", 4: "bin"}
        assert [row.horse.name for row in barn.find_horses(WantedHorses("grey"))] == ["Alder"]


def test_an_earlier_barn_can_be_worked_in(earlier: Path) -> None:
    with Barn.open(earlier) as barn:
        barn.add_session("Juniper", date(2026, 5, 8), length_ns=NS_PER_S)
        assert len(barn.sessions("Juniper")) == 3
    assert {one.severity for one in check(earlier)} == {"wrong"}
    assert all("is gone" in one.words for one in check(earlier))


@pytest.mark.parametrize("version", [path.stem for path in sorted(FIXTURES.glob("*.horse"))])
def test_a_horse_handed_over_by_an_earlier_version_is_taken_in(version: str, barn: Barn) -> None:
    handed = read_handed(FIXTURES / f"{version}.horse")
    came = barn.take_in(handed)
    assert (came.added, came.tags) == (2, 7)
    assert barn.horse("Juniper") == JUNIPER
    session_id = barn.find_session("Juniper/2026-05-04")
    assert barn.session(session_id).details == DETAILS
    assert [(tag.what, tag.start_ns) for tag in barn.tags(session_id, look=2)] == [
        ("walk", 0),
        ("spook", 12_500_000_000),
    ]
