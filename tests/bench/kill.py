"""`python -m tests.bench.kill [N]`: kills a tagging program N times (300) and counts the tags lost."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from random import Random

from store.barn import Barn
from tests.store.killing import lost_tags, tag_until_killed
from tests.store.made_barns import MAY_4


def main(times: int = 300) -> int:
    """0 if nothing was lost."""
    random, said, lost = Random(times), set[int](), set[int]()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "my.barn"
        with Barn.create(path) as barn:
            session_id = barn.add_session("Juniper", MAY_4, length_ns=86_400_000_000_000)
        for n in range(times):
            said.update(tag_until_killed(path, session_id, n * 1_000_000, random))
            lost |= lost_tags(path, session_id, said)
    sys.stdout.write(f"killed {times} times, {len(said)} tags kept before, {len(lost)} lost\n")
    return 1 if lost else 0


if __name__ == "__main__":
    raise SystemExit(main(*map(int, sys.argv[1:])))
