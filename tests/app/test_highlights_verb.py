"""The verb `highlights`, run as a person runs it: the same arranging as the window's, in words."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.deliver.page.choice import Arrangement
from annotate.deliver.rules import Rules
from annotate.passages import Passage
from annotate.tags import Tag
from app.command import main
from app.delivering import keep_arrangement, keep_rules
from store.barn import Barn
from tests.app.hands import placed_session
from tests.app.test_command import Line, line
from tests.made_clips import ClipBox
from tests.store.made_barns import MAY_4

__all__ = ["line"]

S = NS_PER_S
TAGS = (
    Tag("left_rein", 0, 300 * S),
    Tag("lope", 20 * S, 40 * S),
    Tag("spook", 100 * S, severity=2),
    Tag("calm", 110 * S),
    Tag("buck", 200 * S, severity=4),
    Tag("calm", 205 * S),
)
PASSAGES = (Passage(10 * S, 20 * S, "one"), Passage(15 * S, 25 * S, "two", 1), Passage(50 * S, 60 * S, "three", 2))


@pytest.fixture
def tagged(line: Line) -> Line:
    """A session without clips, tagged, with no passage marked."""
    with Barn.create(line.barn) as barn:
        barn.replace_tags(barn.add_session("Juniper", MAY_4, length_ns=600 * S), TAGS)
    return line


@pytest.fixture
def marked(tagged: Line) -> Line:
    """The same with three passages, two of which overlap."""
    with Barn.open(tagged.barn) as barn:
        barn.keep_passages(1, PASSAGES)
    return tagged


def listed(line: Line, to: Path, *more: object) -> list[tuple[float, float, str]]:
    said = line.json("highlights", 1, "--to", to, "--as", "csv", *more)
    return [(one["start_s"], one["end_s"], one["caption"]) for one in said["highlights"]]


def test_where_nothing_is_marked_the_rule_chooses_and_it_is_said(tagged: Line, tmp_path: Path) -> None:
    said = tagged.run("highlights", 1, "--to", tmp_path / "out", "--as", "csv")
    assert said.splitlines() == [
        "Nothing was marked; chosen by rule:",
        "1. Lope on the left rein, 20 s",
        "2. Spook, severity 2, calm after 10 s",
        "3. Buck, severity 4, calm after 5 s",
        f"Written: {tmp_path / 'out' / 'highlights.csv'}",
    ]


def test_the_rule_is_told_what_to_choose_from_which_severity_on_and_how_much_of_it(
    tagged: Line, tmp_path: Path
) -> None:
    rule = ("--rule", "reactions", "--severity", 3, "--lead-in", 1, "--lead-out", 0.5)
    assert listed(tagged, tmp_path, *rule) == [(199, 205.5, "Buck, severity 4, calm after 5 s")]
    fitted = listed(tagged, tmp_path, "--rule", "reactions,gaits", "--fit", 12)
    assert [caption[:4] for _, _, caption in fitted] == ["Buck"]


def test_the_rule_chooses_though_passages_are_marked_if_it_is_told_to(marked: Line, tmp_path: Path) -> None:
    assert [caption for _, _, caption in listed(marked, tmp_path)] == ["one", "two", "three"]
    chosen = listed(marked, tmp_path, "--rule", "--lead-in", 0, "--lead-out", 0)
    assert [span[:2] for span in chosen] == [(20, 40), (100, 110), (200, 205)]


def test_the_rules_that_were_kept_hold_where_nothing_else_is_said(tagged: Line, tmp_path: Path) -> None:
    with Barn.open(tagged.barn) as barn:
        keep_rules(barn, Rules(lead_in_ns=0, lead_out_ns=0, gaits=False, least_severity=3))
    assert [span[:2] for span in listed(tagged, tmp_path)] == [(200, 205)]
    assert [span[:2] for span in listed(tagged, tmp_path, "--severity", 2)] == [(100, 110), (200, 205)]


def test_passages_are_widened_merged_and_fitted(marked: Line, tmp_path: Path) -> None:
    wide = listed(marked, tmp_path, "--lead-in", 2, "--lead-out", 1)
    assert [span[:2] for span in wide] == [(8, 21), (13, 26), (48, 61)]
    assert listed(marked, tmp_path, "--merge") == [(10, 25, "one; two"), (50, 60, "three")]
    assert [span[:2] for span in listed(marked, tmp_path, "--fit", 21)] == [(10, 20), (15, 25)]


def test_passages_are_ordered_left_out_and_named(marked: Line, tmp_path: Path) -> None:
    named = ("--order", "3,1", "--caption", "3=Quiet = good", "--caption", "2=left out")
    assert listed(marked, tmp_path, *named) == [(50, 60, "Quiet = good"), (10, 20, "one")]
    assert "Quiet = good" in (tmp_path / "highlights.csv").read_text()
    with Barn.open(marked.barn) as barn:
        assert [passage.caption for passage in barn.passages(1)] == ["one", "two", "three"]


def test_every_kind_goes_out_as_it_was_arranged_in_the_window(marked: Line, tmp_path: Path) -> None:
    with Barn.open(marked.barn) as barn:
        left_out = frozenset({barn.passages(1)[0].id})
        keep_arrangement(barn, 1, Arrangement(left_out=left_out, lead_in_ns=S, fit_ns=25 * S))
    assert listed(marked, tmp_path) == [(14, 25, "two"), (49, 60, "three")]
    assert listed(marked, tmp_path, "--lead-in", 0, "--order", "1")[0] == (10, 20, "one")


def test_a_passage_over_two_clips_is_shown_from_both(line: Line, clips: ClipBox, tmp_path: Path) -> None:
    placed = (clips.get("constant_25").path, 0), (clips.get("turned_90").path, 10)
    with Barn.create(line.barn) as barn:
        barn.keep_passages(placed_session(barn, *placed), [Passage(2 * S, 11 * S, "both")])
    assert listed(line, tmp_path, "--lead-in", 1, "--lead-out", 5) == [(1, 12, "both")]
    rows = (tmp_path / "highlights.csv").read_text().splitlines()[1:]
    assert [row.split(",")[2:4] for row in rows] == [["1", "3"], ["10", "12"]]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("kind", ["reel", "page"])
def test_stopped_by_hand_or_by_the_system_it_leaves_nothing_half(
    line: Line,
    clips: ClipBox,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    kind: str,
    number: signal.Signals,
) -> None:
    with Barn.create(line.barn) as barn:
        barn.keep_passages(placed_session(barn, (clips.get("constant_25").path, 0)), [Passage(0, 3 * S)])

    def stop_at_once() -> Callable[[int, int], None]:
        return lambda done, of: signal.raise_signal(number)

    before = signal.getsignal(number)
    monkeypatch.setattr("app.verbs.highlights._progress", stop_at_once)
    assert main(["--barn", str(line.barn), "highlights", "1", "--to", str(tmp_path / "out"), "--as", kind]) == 1
    assert capsys.readouterr().err == "Stopped.\n"
    assert list((tmp_path / "out").iterdir()) == []
    assert signal.getsignal(number) is before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--order", "4"), "There is no passage 4: the list has 3."),
        (("--order", "one"), "'one' is not the number of a passage. Write the order like 3,1,2."),
        (("--caption", "two"), "Write a caption like 2=Quiet at the flag, not 'two'."),
        (("--caption", "0=x"), "There is no passage 0: the list has 3."),
        (("--lead-in=-1",), "'-1' is less than nothing. Write a number of seconds."),
        (("--fit", "soon"), "'soon' is not a number of seconds. Write it like 12.5."),
        (
            ("--fit", "0"),
            "Nothing fits into 0 s. Write how many seconds all passages together may last.",
        ),
        (("--rule", "best"), "The rule chooses reactions, gaits, exposures, turns, not 'best'."),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(
    marked: Line, tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    assert marked.refused("highlights", 1, "--to", tmp_path / "out", "--as", "csv", *words) == f"{said}\n"
    assert not (tmp_path / "out").exists()


def test_a_session_with_nothing_to_show_still_has_a_page(line: Line, tmp_path: Path) -> None:
    with Barn.create(line.barn) as barn:
        barn.add_session("Juniper", MAY_4, length_ns=60 * S)
    assert "nothing to show yet" in line.refused("highlights", 1, "--to", tmp_path / "out", "--as", "csv")
    said = json.loads(line.run("highlights", 1, "--to", tmp_path / "out", "--as", "page,pdf", "--json"))
    assert [Path(name).suffix for name in said["files"]] == [".html", ".zip", ".pdf"]
