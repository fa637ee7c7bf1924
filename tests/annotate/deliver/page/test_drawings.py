"""What the drawings show, and that they are sound SVG that can be read in grey and by ear."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as Xml

import pytest

from annotate.behaviours import Sheet
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.drawing import Drawing, Path, Words, svg
from annotate.deliver.page.line_drawing import draw_line, narrow, small, wide
from annotate.deliver.page.severity_drawing import draw_severities
from annotate.deliver.page.side_bars import draw_sides, sides_of
from annotate.numbers.habituation import history
from annotate.numbers.session_numbers import session_numbers
from annotate.workline import work_line
from tests.annotate.deliver.page.made import HOSTILE, WORKED, S, session
from tests.annotate.tagged import SHEET, event, state

LINE = work_line(session(), WORKED, SHEET)
END = session().end_ns


def drawn(tags: tuple = WORKED, sheet: Sheet = SHEET) -> Drawing:
    return draw_line(work_line(session(), tags, sheet), sheet, wide(END), "Work line")


def luminance(hex_colour: str) -> float:
    """Relative luminance: WCAG 2.2."""
    parts = [int(hex_colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ink", [colour.INK, colour.QUIET, colour.PASSAGE, colour.GAITS[4]])
def test_text_can_be_read_on_white(ink: str) -> None:
    assert 1.05 / (luminance(ink) + 0.05) >= 4.5


def test_gaits_darken_as_they_quicken() -> None:
    shades = [luminance(shade) for shade in colour.GAITS]
    assert shades == sorted(shades, reverse=True)
    assert all(one / other > 1.2 for one, other in pairwise(shades))


@pytest.mark.parametrize("frame", [wide(END), narrow(END), small(END)])
def test_everything_lies_within_the_drawing(frame: object) -> None:
    made = draw_line(LINE, SHEET, frame, "Work line")  # type: ignore[arg-type]
    for shape in made.shapes:
        if isinstance(shape, Path):
            assert all(0 <= x <= made.width and 0 <= y <= made.height for x, y in shape.points)


def test_the_left_rein_is_above_the_right_rein_below_and_a_thorn_as_long_as_severe() -> None:
    thorns = [shape for shape in drawn().shapes if isinstance(shape, Path) and shape.fill == colour.REACTION]
    ups = [thorn.points[1][1] < thorn.points[0][1] for thorn in thorns]
    assert ups == [True, True, True, False, False, False]
    reach = [abs(thorn.points[1][1] - thorn.points[0][1]) for thorn in thorns]
    assert reach[0] == reach[4] < reach[1] == reach[3] < reach[2] < reach[5]


def test_a_hearer_gets_the_same_session() -> None:
    told = drawn().description
    assert "10 min in all" in told
    assert "Above the axis, on the left rein: walk 2 min 30 s, trot 2 min." in told
    assert "Spook of severity 3 at 4:10, calm after 15 s." in told
    assert "Spook of severity 4 at 8:20, not seen to settle." in told


def test_times_compared_have_one_scale() -> None:
    half = draw_line(LINE, SHEET, wide(2 * END), "Work line")
    ends = [max(x for s in d.shapes if isinstance(s, Path) for x, _ in s.points) for d in (drawn(), half)]
    assert ends[1] - 74 == pytest.approx((ends[0] - 74) / 2, abs=1)


def test_no_two_numbers_of_passages_lie_on_each_other() -> None:
    spans = [(n, state("walk", n, n + 1).span) for n in range(1, 60)]
    made = draw_line(LINE, SHEET, narrow(END), "Work line", spans)
    xs = [s.x for s in made.shapes if isinstance(s, Words) and s.fill == colour.PASSAGE]
    assert len(xs) < 59
    assert all(b - a > 6 for a, b in pairwise(xs))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_only_text(text: str) -> None:
    titled = replace(SHEET, behaviours=tuple(replace(b, title=text) for b in SHEET.behaviours))
    made = replace(drawn((*WORKED, state("flag_on", 10, 20)), titled), title=text)
    root = Xml.fromstring(svg(made, "x"))
    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {
        *("svg", "title", "desc", "rect", "path", "circle", "text")
    }


def test_nothing_at_all_can_be_drawn() -> None:
    Xml.fromstring(svg(draw_line(work_line(session(), (), SHEET), SHEET, wide(END), "x"), "x"))


def test_bars_tell_both_reins_of_each_gait() -> None:
    rows = sides_of(session_numbers(session(), WORKED, SHEET))
    told = [(row.title, row.left_ns // S, row.right_ns // S) for row in rows]
    assert told == [("walk", 150, 60), ("trot", 120, 90), ("lope", 0, 60), ("moving", 270, 210)]
    made = draw_sides(rows, 270 * S, "Reins")
    assert "moving: left 4 min 30 s, right 3 min 30 s." in made.description


def test_exposures_are_thorns_and_open_dots_in_order() -> None:
    tags = (
        state("walk", 0, 100),
        state("flag_on", 10, 20),
        event("spook", 12, severity=3, stimulus="flag"),
        state("flag_on", 40, 50),
    )
    made = draw_severities(history([session_numbers(session(), tags, SHEET)], "flag"), "Flag", 300)
    assert made.description == "Severity of each exposure. 25 May 2026: 3; 25 May 2026: 0."
