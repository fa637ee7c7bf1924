"""`python3 -m tests.bench [media|barn|work_line|kill ...]`: measures, beside the bare libraries, in one run.

Prints a table for each part. A missed aim is printed as missed; nothing fails. `season`, `reel`, `kill`,
`fuzz` and `hour` are long and run only when they are named; `reel` needs 6 GB of temporary disk.
"""

from __future__ import annotations

import os
import sys

from app.ready import QT_NEEDS, get_ready

PARTS = ("media", "barn", "work_line", "numbers", "desk", "start", "playing", "motion")
LONG = ("season", "reel", "kill", "fuzz", "hour")


def main() -> int:
    """Runs the named parts, or all but the long ones."""
    get_ready("tests.bench", extra="tests", system=QT_NEEDS)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from importlib import import_module

    asked = sys.argv[1:] or PARTS
    unknown = [part for part in asked if part not in (*PARTS, *LONG)]
    if unknown:
        sys.stderr.write(f"There is no part {unknown[0]}. Parts: {', '.join((*PARTS, *LONG))}.\n")
        return 2
    for part in asked:
        sys.stdout.write(f"== {part}\n")
        module = import_module(f"tests.bench.{part}")
        if part in ("kill", "fuzz", "desk", "hour"):
            module.main()
            continue
        for row in module.rows():
            aim = "no aim" if row.aim is None else f"aim {row.aim:g} x: {'met' if row.is_met else 'MISSED'}"
            sys.stdout.write(
                f"{row.name:<48} {row.ours:10.3f} {row.unit}  bare {row.bare:10.3f} {row.unit}  "
                f"{row.ratio:6.2f} x  {aim}\n"
            )
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
