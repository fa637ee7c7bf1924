"""The verb `agree`, run as a person runs it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from annotate.agreement.again import Again, SecondLook
from annotate.agreement.kept_looks import KeptLook
from annotate.clock import NS_PER_S, Span
from annotate.taglist import write_tag_list
from annotate.tags import Tag
from app.command import main
from app.second_looks import NO_FOOTAGE_IN_COMMON, begin_look, keep_look, set_aside
from app.second_looks import SECOND as LOOK_2
from store.barn import Barn
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, SHEET, SPOOKS_A, SPOOKS_B, row
from tests.annotate.numbers.worked_session import DAY, event, events, state

FIRST, SECOND = [*GAITS_A, *SPOOKS_A], [*GAITS_B, *SPOOKS_B]


class Lists:
    """Tag lists in a folder, and the command line beside them."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.barn = folder / "agree.barn"
        self._folder = folder
        self._capsys = capsys

    def write(self, name: str, tags: list[Tag]) -> Path:
        path = self._folder / name
        path.write_text(write_tag_list(tags, SHEET), encoding="utf-8", newline="")
        return path

    def run(self, *words: object) -> str:
        assert main(["--barn", str(self.barn), "agree", *map(str, words)]) == 0
        return self._capsys.readouterr().out

    def of_files(self, *lists: list[Tag], length_s: float = 600, more: tuple[str, ...] = ()) -> Any:
        paths = [self.write(f"{place}.csv", tags) for place, tags in enumerate(lists)]
        return json.loads(self.run("--files", *paths, "--length", length_s, "--json", *more))

    def refused(self, *words: object) -> str:
        assert main(["--barn", str(self.barn), "agree", *map(str, words)]) == 1
        return self._capsys.readouterr().err

    def misused(self, *words: object) -> None:
        with pytest.raises(SystemExit) as ended:
            main(["--barn", str(self.barn), "agree", *map(str, words)])
        assert ended.value.code == 2


@pytest.fixture
def lists(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Lists:
    return Lists(tmp_path, capsys)


@pytest.fixture
def twice(lists: Lists) -> Lists:
    """A barn with a session that was looked at twice."""
    with Barn.create(lists.barn) as barn:
        session_id = barn.add_session("Juniper", DAY, length_ns=600 * NS_PER_S)
        barn.replace_tags(session_id, FIRST)
        barn.replace_tags(session_id, SECOND, look=2)
    return lists


def test_two_tag_lists_give_the_figures_worked_on_paper(lists: Lists) -> None:
    told = lists.of_files(FIRST, SECOND)
    assert told["states"]["gait"]["kappa"] == pytest.approx(0.9619, abs=5e-5)
    within = {"0": 585, "1": 589, "2": 593, "3": 596, "5": 600}
    assert told["states"]["gait"]["agree_within"] == within
    events = told["events"]
    assert (events["matched"], events["only_a"], events["only_b"], events["agreement"]) == (4, 1, 1, 0.8)
    assert events["of_union"] == pytest.approx(2 / 3)


def test_the_best_pairing_is_found_where_the_nearest_would_lose_one(lists: Lists) -> None:
    first, second = list(events("spook", 10.0, 11.0)), list(events("spook", 10.9, 11.9))
    assert lists.of_files(first, second, length_s=60)["events"]["matched"] == 2


def test_the_tolerance_is_a_choice(lists: Lists) -> None:
    told = lists.of_files(FIRST, SECOND, more=("--tolerance", "0.5"))
    assert told["events"]["matched"] == 3
    assert told["states"]["gait"]["agree_within"]["0.5"] == 585


def test_the_unit_of_time_is_a_choice(lists: Lists) -> None:
    assert lists.of_files(FIRST, SECOND, more=("--unit", "0.5"))["states"]["gait"]["units"] == 1200


def nulls(told: Any, path: str = "") -> list[str]:
    if isinstance(told, dict):
        return [p for key, value in told.items() for p in nulls(value, f"{path}.{key}".lstrip("."))]
    if isinstance(told, list):
        return [p for place, value in enumerate(told) for p in nulls(value, f"{path}.{place}")]
    return [path] if told is None else []


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ([], []),
        (FIRST, []),
        (row(("walk", 600)), row(("walk", 600))),
        ([state("flag_on", 10, 600)], [state("flag_on", 0, 600), event("spook", 20, severity=2)]),
        ([state("out_of_sight", 0, 600)], [state("out_of_sight", 0, 600)]),
        (FIRST, SECOND),
    ],
)
def test_whatever_is_not_defined_is_null_with_its_reason(
    lists: Lists, first: list[Tag], second: list[Tag]
) -> None:
    told = lists.of_files(first, second, first)
    reasons = told["reasons"]
    assert sorted(nulls(told)) == sorted(reasons)
    assert all(reason.endswith(".") for reason in reasons.values())


def test_three_lists_add_the_agreement_of_all(lists: Lists) -> None:
    told = lists.of_files(FIRST, SECOND, FIRST)
    assert told["several"]["gait"]["observers"] == 3
    assert told["several"]["gait"]["units"] == 600


def test_a_table_says_the_same_for_a_person(lists: Lists) -> None:
    paths = lists.write("a.csv", FIRST), lists.write("b.csv", SECOND)
    said = lists.run("--files", *paths, "--length", 600)
    assert "kappa 0.96" in said
    assert "4 in both, 1 only in the first look, 1 only in the second" in said
    assert "0:40.0  spook" in said


def test_looks_that_say_the_same_are_told_so(lists: Lists) -> None:
    path = lists.write("a.csv", FIRST)
    assert "Both looks say the same." in lists.run("--files", path, path, "--length", 600)


def test_a_wrong_row_is_named_with_its_file(lists: Lists) -> None:
    good, bad = lists.write("a.csv", FIRST), lists.write("b.csv", [*SECOND, Tag("whinny", 0)])
    said = lists.refused("--files", good, bad, "--length", 600)
    assert "b.csv: " in said
    assert "'whinny'" in said


def test_a_missing_file_is_named(lists: Lists) -> None:
    path = lists.write("a.csv", FIRST)
    assert "no file" in lists.refused("--files", path, path.with_name("none.csv"), "--length", 600)


def test_misuse_is_told_apart_from_trouble(lists: Lists) -> None:
    path = lists.write("a.csv", FIRST)
    lists.misused()
    lists.misused("--files", path, "--length", 600)
    lists.misused("--files", path, path)
    lists.misused("1", "--length", 600)
    lists.misused("1", "--files", path, path, "--length", 600)


def test_a_session_looked_at_twice(twice: Lists) -> None:
    told = json.loads(twice.run("Juniper/2026-05-01", "--json"))
    assert told["states"]["gait"]["agree_within"]["1"] == 589
    assert told["numbers"]["gait.walk.seconds"]["difference"] == -5


def test_a_session_without_a_second_look_is_refused(lists: Lists) -> None:
    with Barn.create(lists.barn) as barn:
        barn.add_session("Juniper", DAY, length_ns=600 * NS_PER_S)
    assert "no second look yet" in lists.refused("1")


def test_only_the_drawn_passages_that_are_done_are_compared(twice: Lists) -> None:
    drawn = (Again(Span(100 * NS_PER_S, 130 * NS_PER_S), True), Again(Span(0, 30 * NS_PER_S)))
    with Barn.open(twice.barn) as barn:
        keep_look(barn, 1, KeptLook(LOOK_2, "Kim", None, SecondLook(7, drawn)))
    told = json.loads(twice.run("1", "--json"))
    assert told["footage"]["seconds"] == 30
    assert told["states"]["gait"]["units"] == 30


def test_drawn_passages_of_which_none_is_done_are_refused(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        drawn = SecondLook(7, (Again(Span(0, 30 * NS_PER_S)),))
        keep_look(barn, 1, KeptLook(LOOK_2, "Kim", None, drawn))
    assert "has been tagged again" in twice.refused("1")


def test_a_third_look_adds_the_agreement_of_all(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        barn.replace_tags(1, row(("walk", 300), ("trot", 300)), look=3)
    assert json.loads(twice.run("1", "--json"))["several"]["gait"]["observers"] == 3


def thirds(barn: Barn, *spans: Span) -> None:
    drawn = SecondLook(1, tuple(Again(span, True) for span in spans))
    look = begin_look(barn, 1, "Robin", DAY, drawn)
    barn.replace_tags(1, row(("walk", 300), ("trot", 300)), look=look.number)


def test_the_latest_look_is_compared_unless_another_is_named(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        thirds(barn, Span(0, 60 * NS_PER_S))
    told = json.loads(twice.run("1", "--json"))
    assert told["look"] == 3
    assert [(one["look"], one["who"], one["done"]) for one in told["looks"]] == [(2, None, None), (3, "Robin", 1)]
    assert told["footage"]["seconds"] == 60
    assert json.loads(twice.run("1", "--json", "--look", "2"))["footage"]["seconds"] == 600
    assert "1 May 2026: no look 4." in twice.refused("1", "--look", "4")
    said = twice.run("1")
    assert "Look 3: Robin, 1 May 2026 (compared here)" in said
    assert "Kappa is how much more alike" in said


def test_all_looks_are_compared_at_what_all_of_them_looked_at(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        thirds(barn, Span(0, 60 * NS_PER_S), Span(100 * NS_PER_S, 140 * NS_PER_S))
    assert json.loads(twice.run("1", "--json"))["several"]["gait"]["units"] == 100


def test_looks_that_share_no_footage_have_no_agreement_in_common_and_say_so(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        drawn = SecondLook(7, (Again(Span(100 * NS_PER_S, 130 * NS_PER_S), True),))
        keep_look(barn, 1, KeptLook(LOOK_2, "Kim", None, drawn))
        thirds(barn, Span(0, 60 * NS_PER_S))
    told = json.loads(twice.run("1", "--json"))
    assert told["several"] is None
    assert told["reasons"]["several"] == NO_FOOTAGE_IN_COMMON
    assert NO_FOOTAGE_IN_COMMON in twice.run("1")


def test_a_look_that_was_set_aside_is_not_compared(twice: Lists) -> None:
    with Barn.open(twice.barn) as barn:
        thirds(barn, Span(0, 60 * NS_PER_S))
        set_aside(barn, 1, 3, True)
    told = json.loads(twice.run("1", "--json"))
    assert (told["look"], "several" in told) == (2, False)
    with Barn.open(twice.barn) as barn:
        set_aside(barn, 1, 2, True)
    assert "no second look yet" in twice.refused("1")


def test_a_high_share_with_a_low_kappa_says_why(lists: Lists) -> None:
    # Feinstein and Cicchetti 1990, J Clin Epidemiol 43:543, as seconds: 80, 10, 5, 5; from memory.
    first, second = row(("walk", 90), ("trot", 10)), row(("walk", 80), ("trot", 10), ("walk", 5), ("trot", 5))
    paths = lists.write("a.csv", first), lists.write("b.csv", second)
    said = lists.run("--files", *paths, "--length", 100)
    assert "kappa 0.32" in said
    assert "kappa is low all the same: most of it is walk, so chance alone would agree in 78 %" in said


def test_what_is_not_defined_is_called_so_and_why(lists: Lists) -> None:
    path = lists.write("a.csv", row(("walk", 100)))
    said = lists.run("--files", path, path, "--length", 100)
    assert "not defined" in said
    assert "the same in 100 % of the time; Both say one and the same thing throughout" in said


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--length", "0"), "longer than 0 s"),
        (("--length", "-5"), "longer than 0 s"),
        (("--length", "ten"), "not a number of seconds"),
        (("--length", "100"), "lies outside the session"),
        (("--length", "600", "--tolerance", "-1"), "cannot be below 0 s"),
        (("--length", "600", "--unit", "0"), "0.01 s to 60 s"),
    ],
)
def test_bad_numbers_are_answered_in_a_sentence(lists: Lists, more: tuple[str, ...], words: str) -> None:
    path = lists.write("a.csv", FIRST)
    said = lists.refused("--files", path, path, *more)
    assert words in said
    assert "Traceback" not in said


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"start,end\n1,2\n", b"start_s,end_s\n"])
def test_a_file_that_is_no_tag_list_is_named(lists: Lists, tmp_path: Path, content: bytes) -> None:
    good, bad = lists.write("a.csv", FIRST), tmp_path / "odd.csv"
    bad.write_bytes(content)
    assert lists.refused("--files", good, bad, "--length", 600).startswith("odd.csv: ")


def test_too_few_passages_for_an_interval_are_told(lists: Lists) -> None:
    path = lists.write("a.csv", row(("walk", 50), ("trot", 40)))
    told = lists.run("--files", path, path, "--length", 100)
    assert "2 passages; 10 are needed to say how far off the figures may be" in told
