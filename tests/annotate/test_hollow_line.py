"""Where the shapes stand that are no tags."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from annotate.hollow_line import hollow_line
from annotate.sessions import Session
from annotate.workline import WorkLine
from tests.annotate.tagged import SHEET, Tags, event, ns, state

SESSION = Session(1, "Thistle", date(2026, 5, 4), length_ns=ns(100))


def line(tags: Tags, *hollow: object) -> WorkLine:
    return hollow_line(SESSION, tags, hollow, SHEET)  # type: ignore[arg-type]


def test_a_gait_lies_on_the_side_of_the_tagged_rein() -> None:
    found = line((state("right_rein", 0, 100),), state("left_rein", 0, 50), state("trot", 10, 20))
    assert [(step.level, step.side) for step in found.steps] == [(2, "below")]


def test_where_no_rein_is_tagged_it_lies_on_the_side_of_the_hollow_one() -> None:
    found = line((state("right_rein", 0, 15),), state("left_rein", 0, 50), state("trot", 10, 20))
    assert [(step.start_ns, step.side) for step in found.steps] == [(ns(10), "below"), (ns(15), "above")]


def test_a_reaction_stands_on_the_tagged_gait_before_the_hollow_one() -> None:
    tags = (state("left_rein", 0, 100), state("lope", 0, 50))
    found = line(tags, state("walk", 0, 100), event("spook", 20), event("spook", 70))
    assert [(spike.level, spike.side) for spike in found.spikes] == [(3, "above"), (1, "above")]


def test_it_holds_nothing_of_what_is_tagged() -> None:
    tags = (state("left_rein", 0, 100), state("lope", 0, 50), event("spook", 3), state("out_of_sight", 60, 70))
    found = line(tags, event("calm", 5))
    assert len(found.calms) == 1
    assert replace(found, calms=()) == WorkLine(end_ns=SESSION.end_ns)


def test_each_piece_carries_the_id_of_its_shape() -> None:
    gait, rein, gone = state("walk", 0, 20), state("left_rein", 0, 30), state("out_of_sight", 40, 50)
    found = line((), gait, rein, gone, event("cluck", 5))
    assert {step.tag_id for step in found.steps} == {gait.id}
    assert [one.tag_id for one in (*found.reins, *found.breaks)] == [rein.id, gone.id]
