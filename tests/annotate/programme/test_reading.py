from __future__ import annotations

import pytest

from annotate.behaviours import STIMULUS, default_sheet, stimulus_of
from annotate.programme.reading import DEFAULT_PROGRAMME, default_programme, read_programme
from annotate.programme.standing import standing
from annotate.programme.steps import (
    MOVING,
    InARow,
    Limits,
    ProgrammeTrouble,
    Reactions,
    Saddling,
    Seconds,
    TackOrder,
    Times,
)
from annotate.programme.work import record_of

SMALL = """
title = "Small"
[steps.free_work]
title = "Free work"
do = "Loose."
[steps.free_work.criteria]
lope = { need = "seconds", of = "lope", rein = "right", at_least = 60 }
"""


def with_line(line: str) -> str:
    return f"{SMALL}one = {line}\n"


def test_a_step_has_its_title_what_to_do_and_its_criteria() -> None:
    [step] = read_programme(SMALL).steps
    assert (step.key, step.title, step.do, step.risky) == ("free_work", "Free work", "Loose.", False)
    assert step.criteria == (Seconds("lope", "lope", 60, "right"),)


@pytest.mark.parametrize(
    ("line", "criterion"),
    [
        (
            '{ need = "seconds", of = "moving", at_least = 5, tack = "pad", in_this_step = true }',
            Seconds("one", "moving", 5, "either", "pad", True),
        ),
        (
            '{ need = "times", of = "turn_in", at_least = 2, side = "each" }',
            Times("one", "turn_in", 2, "each"),
        ),
        (
            '{ need = "in_a_row", of = "bag", in_a_row = 3, severity = 0, within_s = 9, days = 2 }',
            InARow("one", "bag", 3, 0, "either", 9, 2),
        ),
        (
            '{ need = "reactions", at_most = 1, sessions = 2, seen_s = 30 }',
            Reactions("one", 1, None, 2, 30),
        ),
        ('{ need = "tack_order", seen_off = true }', TackOrder("one", True)),
    ],
)
def test_every_need_can_be_written(line: str, criterion: object) -> None:
    assert read_programme(with_line(line)).steps[0].criteria[1] == criterion


def test_what_is_left_out_has_our_own_limits() -> None:
    programme = read_programme(SMALL)
    assert (programme.limits, programme.saddling) == (Limits(), Saddling())


def test_limits_and_saddling_side_are_the_trainers() -> None:
    programme = read_programme(
        '[limits]\ngirth_s = 90\n[saddling]\nside = "right"\n' + SMALL.replace('title = "Small"\n', "")
    )
    assert (programme.limits.girth_s, programme.saddling.side) == (90, "right")
    assert programme.lope_s is None


def test_an_older_programmes_limit_for_lope_is_still_read() -> None:
    programme = read_programme("[limits]\nlope_s = 90\n" + SMALL.replace('title = "Small"\n', ""))
    assert programme.lope_s == 90


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[steps", "cannot be read"),
        ("", "has no steps"),
        ("[steps]\n", "has no steps"),
        ("steps = 3", "has no steps"),
        ("colour = 1\n" + SMALL, "unknown word: colour"),
        ("title = 3\n[steps.a.criteria]\nx = {need = 'tack_order'}", "title must be text in quotes"),
        ("[steps]\nfree = 3", "step free must be written"),
        ("[steps.Free]\ntitle = 'x'", "lower-case words joined by underscores, not 'Free'"),
        ("[steps.free]\ntitle = 'x'", "step free has no criteria"),
        ("[steps.free]\nlong = 1\n", "step free has an unknown word: long"),
        ("[steps.free]\nrisky = 1\ncriteria = {x = {need = 'tack_order'}}", "risky is true or false"),
        (with_line("3"), "one in the step free_work must be written"),
        (with_line("{ at_least = 3 }"), "one in the step free_work needs one of: seconds, times"),
        (with_line('{ need = "luck" }'), "It says 'luck'"),
        (with_line('{ need = "seconds", of = "lope" }'), "does not say at_least"),
        (with_line('{ need = "seconds", at_least = 3 }'), "does not say of"),
        (with_line('{ need = "seconds", of = "lope", at_least = 0 }'), "whole number from 1 to 3600"),
        (with_line('{ need = "seconds", of = "lope", at_least = 1.5 }'), "whole number from 1 to 3600"),
        (with_line('{ need = "seconds", of = "lope", at_least = true }'), "whole number from 1 to 3600"),
        (with_line('{ need = "seconds", of = "Lope!", at_least = 3 }'), "of of one in the step free_work"),
        (
            with_line('{ need = "seconds", of = "lope", at_least = 3, rein = "both" }'),
            "either, left, right, each",
        ),
        (with_line('{ need = "times", of = "turn_in", at_least = 3, tack = "pad" }'), "unknown word: tack"),
        (with_line('{ need = "tack_order", seen_off = 1 }'), "seen_off is true or false"),
        (
            "[limits]\nlope_s = -1\n" + SMALL.replace('title = "Small"\n', ""),
            "lope_s is a whole number from 1",
        ),
        ("[limits]\nwalk = 1\n" + SMALL.replace('title = "Small"\n', ""), "unknown word: walk"),
        ("limits = 1\n" + SMALL, "limits must be written"),
        ("[saddling]\nside = 'off'\n" + SMALL.replace('title = "Small"\n', ""), "side is one of left, right"),
        ("[saddling]\nfirst = 'x'\n" + SMALL.replace('title = "Small"\n', ""), "first is a whole number"),
    ],
)
def test_every_fault_is_told_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(ProgrammeTrouble) as told:
        read_programme(text)
    assert words in str(told.value)
    assert str(told.value).endswith(".")


def test_the_default_goes_from_free_work_to_unsaddling() -> None:
    assert [step.key for step in default_programme().steps] == [
        *("free_work", "quiet_tools", "line_work", "giving", "surcingle", "pad", "seeing_saddle"),
        *("first_saddling", "moving_out", "stirrups", "unsaddling"),
    ]


def test_the_default_names_only_what_is_on_the_default_sheet() -> None:
    sheet = default_sheet()
    stimuli = {stimulus_of(one.name) for one in sheet.of_group(STIMULUS)}
    for step in default_programme().steps:
        for criterion in step.criteria:
            if isinstance(criterion, InARow):
                assert criterion.of in stimuli
            elif isinstance(criterion, Seconds | Times):
                assert criterion.of == MOVING or criterion.of in sheet
            tack = criterion.tack if isinstance(criterion, Seconds | Reactions) else ""
            assert not tack or tack in sheet


def test_work_with_tack_on_is_marked_as_risky() -> None:
    risky = {step.key for step in default_programme().steps if step.risky}
    assert risky == {"surcingle", "first_saddling", "moving_out", "stirrups", "unsaddling"}


def test_the_default_calls_itself_common_practice_and_ours_to_change() -> None:
    text = DEFAULT_PROGRAMME.read_text(encoding="utf-8")
    assert "common practice from memory" in text


def test_a_horse_of_which_nothing_is_known_stands_at_the_first_step() -> None:
    found = standing(record_of("Juniper", (), default_sheet()), default_programme(), default_sheet())
    assert found.at is not None
    assert found.at.step.key == "free_work"
    assert {one.state for one in found.steps} == {"not_seen"}
