"""`python -m tests.bench.kill [N]`: kills programs N times (300) at their work and counts what was lost.

The work is tagging, bringing in sessions, rolling backups and bringing a barn up to date, in turns.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path
from random import Random

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

TIMES = 300
_MIGRATING_S = 0.4


def main(times: int = TIMES) -> int:
    """0 if nothing was lost and every barn opened."""
    random = Random(times)
    tags, sessions, kept = set[int](), list[str](), list[str]()
    versions: Counter[str] = Counter()
    lost = 0
    with tempfile.TemporaryDirectory() as folder:
        path, model = Path(folder) / "my.barn", Path(folder) / "model.barn"
        for place in (path, model):
            with Barn.create(place) as barn:
                session_id = barn.add_session("Juniper", MAY_4, length_ns=86_400_000_000_000)
                barn.apply(session_id, Change((), tuple(Tag("calm", 10**13 + n) for n in range(2000))))
        for n in range(times):
            work = n % 4
            if work == 0:
                tags.update(tag_until_killed(path, session_id, n * 1_000_000, random))
                lost += len(lost_tags(path, session_id, tags))
            elif work == 1:
                sessions += work_until_killed("bring_in", path, n * 1_000_000, random)
                lost += len(lost_sessions(path, sessions))
            elif work == 2:
                kept += work_until_killed("back_up", path, n * 1000, random)
                lost += len(lost_backups(path, kept))
            else:
                versions[migrate_until_killed(model, Path(folder) / f"{n}", random, _MIGRATING_S)] += 1
        lost += len(lost_tags(path, session_id, tags))
    turned = ", ".join(f"{count} at version {version}" for version, count in sorted(versions.items()))
    sys.stdout.write(
        f"killed {times} times; said to be kept before: {len(tags)} tags, {len(sessions)} sessions, "
        f"{len(kept)} backups; brought up to date: {turned}. Lost: {lost}.\n"
    )
    return 1 if lost else 0


if __name__ == "__main__":
    raise SystemExit(main(*map(int, sys.argv[1:])))
