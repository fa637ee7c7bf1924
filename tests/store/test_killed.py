from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from store.barn import Barn
from tests.store.killing import lost_tags, tag_until_killed
from tests.store.made_barns import MAY_4


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")
def test_no_tag_that_was_kept_is_lost_when_the_program_is_killed(barn_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
    random, said = Random(20260504), set[int]()
    for n in range(12):
        said.update(tag_until_killed(barn_path, session_id, n * 1_000_000, random))
        assert lost_tags(barn_path, session_id, said) == set()
    assert len(said) >= 12
