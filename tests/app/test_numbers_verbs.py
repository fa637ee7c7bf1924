"""Numbers traced, sessions compared, the ground and the limits, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from tests.app.test_command import WORKED, Line


@pytest.fixture
def line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Line:
    """A barn with the worked session and a second one that has a lap."""
    line = Line(tmp_path / "cli.barn", capsys)
    tags, more = tmp_path / "worked.csv", tmp_path / "more.csv"
    tags.write_text(WORKED)
    more.write_text(WORKED + "200,,lap,,,,\n215,,lap,,,,\n")
    for day, file in (("2026-05-01", tags), ("2026-05-03", more)):
        line.run("add", "--length", 600, "--horse", "Thistle", "--date", day)
        line.run("tags", f"Thistle/{day}", "--from", file)
    return line


def test_why_tells_the_moments_of_a_figure(line: Line) -> None:
    told = line.json("numbers", 1, "--why", "reactions.left.per_min")
    assert told["figure"] == pytest.approx(2 / 3)
    assert [source["start_s"] for source in told["from"]] == [100, 210, 250]
    assert told["from"][0]["tag"]["what"] == "spook"
    table = line.run("numbers", 1, "--why", "gait.trot.left_s")
    assert table.splitlines() == [
        "gait.trot.left_s: 120",
        "from     to       what  note",
        "3:00.00  5:00.00  trot",
    ]


def test_why_of_an_undefined_figure_tells_the_reason(line: Line) -> None:
    assert line.json("numbers", 1, "--why", "gait.gallop.mean_bout_s")["reason"] == "Gallop was not seen."
    assert "No tag is behind it." in line.run("numbers", 1, "--why", "gait.gallop.mean_bout_s")


def test_why_of_no_figure_is_refused(line: Line) -> None:
    assert line.refused("numbers", 1, "--why", "gait.tolt").startswith("There is no figure 'gait.tolt'")


def test_the_ground_gives_speed_and_metres(line: Line) -> None:
    assert line.run("ground", 2) == "Say how wide the pen or how long the line is.\n"
    kept = line.json("ground", 2, "--pen", "60 ft", "--rail", "3 ft", "--hip", "145 cm")
    assert kept["round_m"] == pytest.approx(51.71, abs=5e-3)
    trot = line.json("numbers", 2)["ground"]["gait"]["trot"]
    assert trot["speed_m_s"] == pytest.approx(51.71 / 15, abs=5e-3)
    assert trot["froude"] == pytest.approx(0.836, abs=5e-3)
    assert "3.45 m/s" in line.run("numbers", 2)


def test_what_is_no_length_is_refused(line: Line) -> None:
    assert line.refused("ground", 2, "--pen", "wide").startswith("'wide' is not a length")


def test_limits_are_taken_in_and_told(line: Line, tmp_path: Path) -> None:
    assert "[minutes]" in line.run("limits")
    mine = tmp_path / "limits.toml"
    mine.write_text("[minutes]\nlope = 0.5\n")
    line.run("limits", "--from", mine)
    assert line.json("numbers", 1)["load"]["over"] == [
        {"name": "lope", "unit": "minutes", "figure": 1.0, "limit": 0.5}
    ]
    [told] = [one for one in line.run("numbers", 1).splitlines() if one.startswith("Over your limit")]
    assert told.split("  ")[-1].strip() == "your limit is 30 s"
    line.run("limits", "--to", tmp_path / "out.toml")
    assert (tmp_path / "out.toml").read_text() == mine.read_text()


def test_wrong_limits_change_nothing(line: Line, tmp_path: Path) -> None:
    wrong = tmp_path / "limits.toml"
    wrong.write_text("[minutes]\ntolt = 3\n")
    assert "'tolt' is not" in line.refused("limits", "--from", wrong)
    wrong.write_bytes(b"\xff\xfe")
    assert "is no text in UTF-8" in line.refused("limits", "--from", wrong)
    assert line.json("limits")["minutes"] == {"fast": 5}
    assert line.json("numbers", 1)["load"]["limits"]["minutes"] == {"fast": 5}


def test_the_limits_begin_with_the_lope_that_an_older_programme_allowed(line: Line) -> None:
    with Barn.open(line.barn) as barn:
        text = barn.programme().text
        barn.keep_programme(text.replace("[limits]\n", "[limits]\nlope_s = 90\n"))
    assert "fast = 1.5" in line.run("limits")


def test_without_a_horse_all_horses_stand_side_by_side(line: Line) -> None:
    line.run("add", "--length", 60, "--horse", "Biscuit", "--date", "2026-05-02")
    told = line.json("compare")
    assert [(one["name"], one["sessions"]) for one in told["horses"]] == [("Biscuit", 1), ("Thistle", 2)]
    thistle = told["horses"][1]
    assert (thistle["seconds"]["visible"], thistle["reactions"]["count"]) == (1080, 12)
    assert "Balance: 0 is even" in line.run("compare")
    with pytest.raises(SystemExit):
        line.run("compare", "--step", "free_work")


def test_a_session_whose_tags_contradict_is_left_out_of_the_horses_and_told(line: Line) -> None:
    with Barn.open(line.barn) as barn:
        barn.apply(1, Change((), (Tag("trot", 0, 30 * NS_PER_S),)))
    told = line.json("compare")
    assert told["horses"][0]["sessions"] == 1
    assert told["left_out"][0].endswith("Correct one of them first.")


def test_sessions_are_compared_with_the_chosen_one(line: Line) -> None:
    told = line.json("compare", "Thistle", "--against", 2)
    first, second = told["sessions"]
    assert first["against"]["session"] == 2
    assert first["against"]["reactions"]["ratio"] == 1
    assert second["against"] is None
    assert second["before"]["recovery"]["chi2"] == 0
    assert told["trends"]["reactions.per_min"]["words"].endswith("2 of the 5 sessions that a trend needs")
    assert told["last_first"]["ratio"] == 1
    table = line.run("compare", "Thistle")
    assert "could be as low as 0.24 or as high as 1.45 a minute" in table
    assert "This describes and proves nothing" in table


def test_horses_at_one_step_stand_side_by_side(line: Line) -> None:
    line.run("add", "--length", 60, "--horse", "Biscuit", "--date", "2026-05-02")
    told = line.json("compare", "Thistle", "Biscuit")
    assert [session["session"]["horse"] for session in told["sessions"]] == ["Thistle", "Biscuit", "Thistle"]
    assert "trends" not in told
    assert "no sessions at the step free_work" in line.refused("compare", "Thistle", "--step", "free_work")


def test_a_step_is_named_by_its_title_or_its_key(line: Line) -> None:
    with Barn.open(line.barn) as barn:
        barn.record_step(2, "surcingle")
    for named in ("surcingle", "Surcingle"):
        told = line.json("compare", "Thistle", "--step", named)
        assert [session["session"]["id"] for session in told["sessions"]] == [2]
    assert "Its steps are: Free work" in line.refused("compare", "Thistle", "--step", "ponying")


def test_a_session_of_another_horse_cannot_be_compared_with(line: Line) -> None:
    line.run("add", "--length", 60, "--horse", "Biscuit", "--date", "2026-05-02")
    assert "not among those" in line.refused("compare", "Thistle", "--against", 3)
