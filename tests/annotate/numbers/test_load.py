from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from annotate.numbers.ground import read_track
from annotate.numbers.limits import (
    NO_LIMITS,
    Limits,
    limit_names,
    limit_title,
    limits_text,
    limits_to_begin_with,
    read_limits,
)
from annotate.numbers.load import Load
from annotate.numbers.session_numbers import session_numbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import events, of_length, state

GAITS = ("walk", "trot", "lope")
WORK = (
    state("left_rein", 0, 300),
    state("right_rein", 300, 480),
    state("stand", 0, 60),
    state("trot", 60, 240),
    state("lope", 240, 400),
)


def load(*tags: Tag, limits: Limits = NO_LIMITS, **details: str) -> Load:
    session = of_length(600)
    session.details.update(details)
    return session_numbers(session, tags, default_sheet(), limits).load


def test_work_on_the_circle_is_moving_on_a_tagged_rein() -> None:
    found = load(*WORK)
    names = ("moving", "left", "right", "lope", "lope_right")
    assert [found.time_ns(name) // NS_PER_S for name in names] == [340, 240, 100, 160, 100]


def test_metres_need_a_lap_of_every_gait_and_the_track() -> None:
    trotted = load(*WORK, *events("lap", 100, 115), pen_diameter_m="60 ft", rail_distance_m="3 ft")
    assert trotted.metres("moving") is None
    assert trotted.metres("trot") == pytest.approx(180 * 51.71 / 15, rel=1e-3)
    both = load(*WORK, *events("lap", 100, 115, 250, 260), line_m="30 ft")
    assert both.metres("moving") == pytest.approx(57.45 * (180 / 15 + 160 / 10), rel=1e-3)


def test_a_limit_that_was_passed_is_told_and_one_that_was_kept_is_not() -> None:
    limits = Limits(minutes={"lope": 2, "trot": 3, "right": 1.5}, metres={"moving": 10})
    over = load(*WORK, limits=limits).over
    assert [(one.name, one.unit, round(one.figure, 2), one.limit) for one in over] == [
        ("lope", "minutes", 2.67, 2),
        ("right", "minutes", 1.67, 1.5),
    ]


def test_a_limit_that_names_no_rein_holds_without_a_tagged_rein() -> None:
    found = load(state("lope", 0, 100), state("gallop", 100, 160), limits=Limits({"fast": 2, "lope": 1, "left": 1}))
    assert [(one.name, round(one.figure, 2)) for one in found.over] == [("fast", 2.67), ("lope", 1.67)]
    assert found.time_ns("moving") == 0


def test_the_limit_to_begin_with_is_five_minutes_of_lope_and_gallop() -> None:
    assert limits_to_begin_with() == Limits(minutes={"fast": 5})
    assert read_limits("", GAITS) == NO_LIMITS


def test_a_limit_is_called_as_a_person_says_it() -> None:
    titles = {"lope": "lope"}
    named = [limit_title(name, titles) for name in ("moving", "left", "fast", "lope", "lope_right")]
    assert named == ["all work", "left rein", "lope and gallop", "lope", "lope on the right rein"]


AMOUNTS = st.dictionaries(
    st.sampled_from(limit_names(GAITS)), st.integers(1, 99_999).map(lambda tenths: tenths / 10), max_size=6
)


@given(AMOUNTS, AMOUNTS, st.integers(1, 100), st.integers(0, 4))
def test_written_limits_are_read_as_they_were(
    minutes: dict[str, float], metres: dict[str, float], in_a_row: int, severity: int
) -> None:
    limits = Limits(minutes, metres, in_a_row, severity)
    assert read_limits(limits_text(limits), GAITS) == limits


def test_limits_are_read_as_the_trainer_wrote_them() -> None:
    text = "[minutes]\nmoving = 15\nlope_left = 1.5\n[metres]\nleft = 900\n[quiet]\nin_a_row = 4\n"
    found = read_limits(text + "severity = 1\n", GAITS)
    assert found == Limits({"moving": 15, "lope_left": 1.5}, {"left": 900}, 4, 1)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[minutes]\ntolt = 3", "'tolt' is not"),
        ("[minutes]\nwalk = 0", "walk under"),
        ("[minutes]\nwalk = 'much'", "walk under"),
        ("minutes = 3", "a line of its own"),
        ("[hours]\nwalk = 1", "unknown part: hours"),
        ("[quiet]\nseverity = 5", "from 0 to 4"),
        ("[quiet]\nrow = 5", "unknown word under .quiet.: row"),
        ("[minutes", "cannot be read"),
    ],
)
def test_what_is_wrong_with_limits_is_said(text: str, says: str) -> None:
    with pytest.raises(Trouble, match=says):
        read_limits(text, GAITS)


def test_a_track_that_cannot_be_used_says_why() -> None:
    assert read_track({"pen_diameter_m": "wide"}).why == (
        "The diameter of the pen is written 'wide', which is no length."
    )
    assert read_track({"pen_diameter_m": "3", "rail_distance_m": "2"}).diameter_m is None
    assert read_track({}).why == "Say how wide the pen or how long the line is."


def test_the_line_decides_where_there_is_one() -> None:
    assert read_track({"pen_diameter_m": "60 ft", "line_m": "4"}).diameter_m == 8
