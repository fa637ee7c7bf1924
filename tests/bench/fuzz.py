"""`python -m tests.bench.fuzz [N]`: spoils N inputs of each kind (3000) and counts what was refused."""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from annotate.behaviours import DEFAULT_SHEET
from tests.fuzzing import Line, check_clip, check_sheet, check_tag_list, clips_like, horses_like, spoilt, tag_lists
from tests.made_clips import ClipBox


def main(times: int = 3000) -> int:
    """0 if nothing crashed; what crashes is raised with the smallest input that does it."""
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        line = Line(here)
        clip = ClipBox(here).get("constant_30").path.read_bytes()
        checks: dict[str, tuple[st.SearchStrategy[bytes], Callable[[bytes], None]]] = {
            "tag list, read": (tag_lists(), check_tag_list),
            "tag list, taken in": (tag_lists(), line.take_tags),
            "sheet": (spoilt(DEFAULT_SHEET.read_bytes()), check_sheet),
            "horse handed over": (spoilt(line.handed), line.take_horse),
            "horse with other values": (horses_like(line.handed), line.take_changed_horse),
            "clip": (clips_like(clip), lambda content: check_clip(content, here)),
        }
        for name, (contents, check) in checks.items():
            begun = time.perf_counter()
            count = spoil(contents, check, times)
            took = time.perf_counter() - begun
            sys.stdout.write(f"{name}: {count} spoilt inputs, no crash, none by half, {took:.0f} s\n")
            sys.stdout.flush()
    return 0


def spoil(contents: st.SearchStrategy[bytes], check: Callable[[bytes], None], times: int) -> int:
    """Checks so many inputs; how many it were."""
    count = 0

    @settings(max_examples=times, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(contents)
    def run(content: bytes) -> None:
        nonlocal count
        count += 1
        check(content)

    run()
    return count


if __name__ == "__main__":
    raise SystemExit(main(*map(int, sys.argv[1:])))
