"""Left and right as bars from a middle line: the left rein's time to the left, the right's to the right."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.behaviours import STAND
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.drawing import Box, Drawing, Path, Shape, Words
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import duration_text

_WIDTH, _ROW, _GAP, _SIZE = 360.0, 20.0, 6.0, 13.0
_NAME, _FIGURE = 56.0, 74.0


@dataclass(frozen=True, slots=True)
class Sides:
    """A gait, or all moving time, on the two reins."""

    title: str
    left_ns: int
    right_ns: int

    @property
    def left(self) -> str:
        """The left rein's time as it is read."""
        return duration_text(self.left_ns)

    @property
    def right(self) -> str:
        """The right rein's."""
        return duration_text(self.right_ns)


def sides_of(numbers: SessionNumbers) -> tuple[Sides, ...]:
    """Every gait but standing that was seen on a rein, then all of them together."""
    gaits = [
        Sides(numbers.sheet[name].title, gait.left_ns, gait.right_ns)
        for name, gait in numbers.gaits.items()
        if name != STAND and gait.left_ns + gait.right_ns
    ]
    rein = numbers.rein
    if not rein.left_ns + rein.right_ns:
        return ()
    whole = Sides("moving", rein.left_ns, rein.right_ns)
    return (*gaits, whole) if len(gaits) > 1 else tuple(gaits) or (whole,)


def draw_sides(rows: tuple[Sides, ...], longest_ns: int, title: str) -> Drawing:
    """The bars; `longest_ns` is what reaches to the edge, the same for sessions that are compared."""
    middle = _NAME + (_WIDTH - _NAME) / 2
    reach = (_WIDTH - _NAME) / 2 - _FIGURE
    shapes: list[Shape] = [
        Words(middle - 8, _SIZE, "left rein", _SIZE * 0.9, colour.QUIET, "end"),
        Words(middle + 8, _SIZE, "right rein", _SIZE * 0.9, colour.QUIET),
    ]
    y = _SIZE + 8
    for row in rows:
        base = y + _ROW / 2 + _SIZE * 0.35
        left, right = (reach * ns / max(1, longest_ns) for ns in (row.left_ns, row.right_ns))
        shapes += [
            Words(0, base, row.title, _SIZE, colour.INK, bold=row.title == "moving"),
            Box(middle - left, y + 3, left, _ROW - 6, colour.LEFT),
            Box(middle, y + 3, right, _ROW - 6, colour.RIGHT),
            Words(middle - left - 6, base, row.left, _SIZE * 0.92, colour.INK, "end"),
            Words(middle + right + 6, base, row.right, _SIZE * 0.92, colour.INK),
        ]
        y += _ROW + (_GAP if row is not rows[-1] else 0)
    shapes.append(Path(((middle, _SIZE + 5), (middle, y + 2)), stroke=colour.INK, width=1.2))
    told = "; ".join(f"{row.title}: left {row.left}, right {row.right}" for row in rows)
    return Drawing(_WIDTH, y + 4, tuple(shapes), title, f"{told}.")
