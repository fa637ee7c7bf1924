from __future__ import annotations

from annotate.behaviours import Behaviour, Sheet, default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.as_json import to_json
from annotate.numbers.in_words import in_words
from annotate.numbers.laps import Lap
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import events, of_length, state


def with_laps() -> Sheet:
    """The trade's sheet, which also has the passing of a mark."""
    sheet = default_sheet()
    others = tuple(one for one in sheet.behaviours if one.name != "lap")
    return Sheet(sheet.groups, (*others, Behaviour("lap", "turn", "event", "lap")))


def numbers(*tags: Tag) -> SessionNumbers:
    return session_numbers(of_length(200), tags, with_laps())


def test_a_lap_runs_from_one_passing_to_the_next() -> None:
    found = numbers(state("left_rein", 0, 60), state("trot", 0, 40), *events("lap", 5, 20, 38, 50)).laps
    assert found.each == (
        Lap(5 * NS_PER_S, 15 * NS_PER_S, "left_rein", "trot"),
        Lap(20 * NS_PER_S, 18 * NS_PER_S, "left_rein", "trot"),
        Lap(38 * NS_PER_S, 12 * NS_PER_S, "left_rein", None),
    )


def test_a_change_of_rein_makes_no_lap() -> None:
    reins = (state("left_rein", 0, 30), state("right_rein", 30, 60))
    assert numbers(*reins, *events("lap", 20, 40)).laps.each == ()


def test_what_was_out_of_sight_makes_no_lap() -> None:
    tags = (state("left_rein", 0, 60), state("out_of_sight", 25, 26), *events("lap", 20, 40))
    assert numbers(*tags).laps.each == ()


def test_laps_in_words_and_json() -> None:
    found = numbers(state("right_rein", 0, 60), state("trot", 0, 60), *events("lap", 10, 25, 41))
    figures = to_json(found)["laps"]
    assert (figures["count"], figures["left"], figures["right"], figures["mean_s"]) == (2, 0, 2, 15.5)
    assert figures["by_gait"] == {"trot": {"count": 2, "mean_s": 15.5}}
    line = next(line for line in in_words(found) if line.key == "laps.count")
    assert (line.figure, line.note) == ("2, 15.5 s each", "trot 15.5 s")
