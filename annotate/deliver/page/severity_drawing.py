"""What a stimulus set off from exposure to exposure, over all sessions: a thorn each, as high as it was hard.

A quiet exposure is an open dot on the ground line; one of which it is not known is a question mark.
"""

from __future__ import annotations

from annotate.days import day_text, short_day_text
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.drawing import Dot, Drawing, Path, Shape, Words
from annotate.numbers.habituation import History

_STEP, _SIZE, _GUTTER, _MOST_APART = 13.0, 12.0, 18.0, 34.0


def draw_severities(past: History, title: str, width: float) -> Drawing:
    """The exposures in order, the days parted by a line and named under them."""
    ground = 4 * _STEP + 12
    count = len(past.each)
    apart = min(_MOST_APART, (width - _GUTTER - 20) / max(1, count))
    shapes: list[Shape] = []
    for step in range(1, 5):
        y = ground - step * _STEP
        shapes.append(Path(((_GUTTER, y), (_GUTTER + apart * count + 8, y)), stroke=colour.RULE, width=0.7))
        shapes.append(Words(0, y + _SIZE * 0.35, str(step), _SIZE * 0.85, colour.QUIET))
    end = _GUTTER + apart * count + 8
    shapes.append(Path(((_GUTTER, ground), (end, ground)), stroke=colour.AXIS, width=1))
    told = []
    named_to = -1.0
    for place, showing in enumerate(past.each):
        x = _GUTTER + 8 + apart * place + apart / 2 - 4
        severity = showing.exposure.severity
        if showing.order_of_day == 1:
            edge = x - apart / 2
            shapes.append(
                Path(((edge, 6), (edge, ground + 18)), stroke=colour.AXIS, width=0.8, dash=2)
            )
            words = short_day_text(showing.day)
            if edge + 3 > named_to:
                shapes.append(Words(edge + 3, ground + 16, words, _SIZE * 0.85, colour.QUIET))
                named_to = edge + 3 + len(words) * _SIZE * 0.56
        shapes += _stem(x, ground, severity)
        told.append(f"{day_text(showing.day)}: {'not known' if severity is None else severity}")
    words = f"Severity of each exposure. {'; '.join(told)}."
    return Drawing(width, ground + 24, tuple(shapes), title, words)


def _stem(x: float, ground: float, severity: int | None) -> list[Shape]:
    if severity is None:
        return [Words(x, ground - 4, "?", _SIZE, colour.QUIET, "middle")]
    if severity == 0:
        return [Dot(x, ground, 4, colour.PAPER, colour.CALM)]
    tip = ground - severity * _STEP
    thorn = ((x - 3.5, ground), (x, tip), (x + 3.5, ground))
    return [Path(thorn, fill=colour.REACTION, stroke=colour.REACTION, closed=True)]
