"""How the command line prints: one JSON object, or a table with aligned columns."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import Any


def print_json(answer: dict[str, Any]) -> None:
    """One JSON object and a line end; a NaN is refused rather than printed."""
    sys.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def print_line(words: str = "") -> None:
    """One line for a person."""
    sys.stdout.write(words + "\n")


def print_table(rows: Sequence[Sequence[object]], heads: Sequence[str] = ()) -> None:
    """Rows with columns as wide as their longest cell, under heads if there are any."""
    cells = [[str(cell) for cell in row] for row in ([heads, *rows] if heads else rows)]
    if not cells:
        return
    widths = [max(len(row[i]) for row in cells if i < len(row)) for i in range(max(map(len, cells)))]
    for row in cells:
        line = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False))
        print_line(line.rstrip())
