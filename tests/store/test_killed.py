from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from tests.store.killing import (
    lost_backups,
    lost_sessions,
    lost_tags,
    migrate_until_killed,
    tag_until_killed,
    work_until_killed,
)
from tests.store.made_barns import MAY_4

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")


@pytest.fixture
def tagged(barn_path: Path) -> Path:
    """A barn with a session of two thousand tags, closed."""
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
        barn.apply(session_id, Change((), tuple(Tag("spook", n) for n in range(2000))))
    return barn_path


def test_no_tag_that_was_kept_is_lost_when_the_program_is_killed(barn_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
    random, said = Random(20260504), set[int]()
    for n in range(5):
        said.update(tag_until_killed(barn_path, session_id, n * 1_000_000, random))
        assert lost_tags(barn_path, session_id, said) == set()
    assert len(said) >= 5


def test_a_session_comes_in_whole_or_not_at_all(tagged: Path) -> None:
    random, said = Random(5), list[str]()
    for n in range(2):
        said += work_until_killed("bring_in", tagged, n * 1_000_000, random)
        assert lost_sessions(tagged, said) == set()


def test_a_backup_has_its_name_only_when_it_is_whole(tagged: Path) -> None:
    random, said = Random(6), list[str]()
    for n in range(2):
        said += work_until_killed("back_up", tagged, 10_000 + n * 1000, random)
        assert lost_backups(tagged, said) == set()


def test_a_barn_is_brought_up_to_date_whole_or_not_at_all(tagged: Path, tmp_path: Path) -> None:
    random = Random(7)
    for n in range(2):
        migrate_until_killed(tagged, tmp_path / f"{n}", random, 0.3)
