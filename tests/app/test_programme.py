"""The verbs `programme` and `today`, and the demonstration barn against the truth that was drawn."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from annotate.clock import NS_PER_S
from annotate.programme.cautions import VERDICT
from app.command import main
from app.demonstration import make_demonstration
from app.places import SAMPLE_MEDIA
from store.barn import Barn
from store.programmes import programme_beside
from tests.annotate.tagged import event, state


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demonstration(tmp_path_factory.mktemp("demonstration")).barn


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(words) == 0
    return capsys.readouterr().out


def standing(capsys: pytest.CaptureFixture[str], barn: Path, horse: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(told(capsys, "--barn", str(barn), "programme", horse, "--json"))
    return answer


def truth(key: str) -> dict[str, Any]:
    numbers: dict[str, Any] = json.loads((SAMPLE_MEDIA / "truth" / f"{key}.json").read_text())
    return numbers


def criterion(answer: dict[str, Any], step: str, key: str) -> dict[str, Any]:
    [found] = [
        one
        for rung in answer["steps"]
        if rung["key"] == step
        for one in rung["criteria"]
        if one["key"] == key
    ]
    return found


# -- the demonstration


def test_one_horse_is_ready_for_one_step_and_not_for_the_next(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    states = {rung["key"]: rung["state"] for rung in standing(capsys, demonstration, "Juniper")["steps"]}
    assert states == {
        "free_work": "met",
        "quiet_flag": "met",
        "surcingle": "not_yet",
        "pad": "not_seen",
        "seeing_saddle": "not_seen",
        "first_saddling": "not_seen",
        "unsaddling": "not_seen",
    }


def test_the_lope_that_is_missing_is_what_was_drawn(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lope = criterion(standing(capsys, demonstration, "Juniper"), "surcingle", "lope")
    drawn = truth("juniper_2026-05-25")["gait"]["lope"]
    assert drawn["left_s"] < 8 <= drawn["right_s"]
    said = re.fullmatch(
        r"([0-9.]+) s of lope on the left rein with the surcingle on, wants 8", lope["missing"]
    )
    assert said is not None
    assert 0 <= drawn["left_s"] - float(said[1]) < 0.1
    for rein in ("left", "right"):
        moments = [one for one in lope["evidence"] if f"on the {rein} rein" in one["what"]]
        seconds = sum(one["end_s"] - one["start_s"] for one in moments)
        assert seconds == pytest.approx(drawn[f"{rein}_s"], abs=1e-6)


def test_the_reaction_that_is_too_hard_is_the_one_that_was_drawn(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calm = criterion(standing(capsys, demonstration, "Juniper"), "surcingle", "calm")
    too_hard = [one for one in truth("juniper_2026-05-25")["recoveries"] if one["severity"] > 1]
    assert [one["start_s"] for one in calm["evidence"]] == [one["at_s"] for one in too_hard]
    for moment, drawn in zip(calm["evidence"], too_hard, strict=True):
        assert moment["end_s"] - moment["start_s"] == pytest.approx(drawn["lasted_s"], abs=1e-6)


def test_the_exposures_that_it_rests_on_are_those_that_were_drawn(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    flag = criterion(standing(capsys, demonstration, "Juniper"), "quiet_flag", "flag")
    drawn = truth("juniper_2026-05-25")["exposures"]
    expected = sorted((one["start_s"], one["worst"] == 0) for one in drawn if one["worst"] <= 1)
    of_that_day = [one for one in flag["evidence"] if one["session"] == 2]
    assert sorted((one["start_s"], "quiet" in one["what"]) for one in of_that_day) == expected


def test_the_other_horse_is_still_at_the_flag(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = standing(capsys, demonstration, "Biscuit")
    assert answer["step"] == "quiet_flag"
    assert max(one["worst"] for one in truth("biscuit_2026-05-20")["exposures"]) > 1


def test_the_lope_over_the_limit_is_what_was_drawn(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    [concern] = standing(capsys, demonstration, "Juniper")["concerns"]
    gaits = truth("juniper_2026-05-04")["gait"]
    seconds = sum(one["end_s"] - one["start_s"] for one in concern["evidence"])
    assert seconds == pytest.approx(gaits["lope"]["seconds"] + gaits["gallop"]["seconds"], abs=1e-6)


def test_every_drawn_session_is_recorded_as_a_step(
    demonstration: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for horse in ("Juniper", "Biscuit"):
        answer = standing(capsys, demonstration, horse)
        keys = {rung["key"] for rung in answer["steps"]}
        assert {session["step"] for session in answer["sessions"]} <= keys


# -- the verbs


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "small.barn"
    with Barn.create(path) as barn:
        work = barn.add_session("Alder", date.today(), length_ns=300 * NS_PER_S)
        girth = (event("buck", 110, severity=3, stimulus="surcingle"), event("calm", 125))
        tags = (state("walk", 0, 300), state("surcingle", 100, 200), *girth)
        barn.replace_tags(work, [replace(tag, start_frame=None, end_frame=None) for tag in tags])
        barn.add_horse("Bracken")
    return path


def test_programme_prints_the_ladder_and_what_is_missing(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = told(capsys, "--barn", str(small), "programme", "alder")
    assert words.startswith(f"Alder. Now: Free work, both reins\n{VERDICT}\n")
    assert "no trot on either rein yet, wants 60 s" in words
    assert "Girth reaction: 1 moment at the girth" in words
    assert "have a vet, farrier and saddle fitter look before more training" in words


def test_today_prints_a_line_for_each_horse(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, "--barn", str(small), "today").splitlines()
    assert [line.split()[0] for line in lines[:3]] == ["horse", "Alder", "Bracken"]
    assert "today" in lines[1]
    assert "15 s" in lines[1]
    assert "Girth reaction" in lines[1]
    assert "not yet" in lines[2]
    [concern] = [line for line in lines if line.startswith("Alder: Girth reaction: ")]
    assert re.search(r"\(see \d+ \w+ \d+ \d+:\d+\.\d\)$", concern)
    assert any(line.startswith("Alder: Pain is possible: have a vet, farrier") for line in lines)
    assert "consent to filming" in lines[-1]


def test_today_as_json_is_one_object(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = json.loads(told(capsys, "--barn", str(small), "today", "--json"))
    assert [one["horse"] for one in answer["horses"]] == ["Alder", "Bracken"]
    assert [one["days_since"] for one in answer["horses"]] == [0, None]


def test_an_empty_barn_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Barn.create(tmp_path / "empty.barn").close()
    assert "no horse" in told(capsys, "--barn", str(tmp_path / "empty.barn"), "today")


def test_an_unknown_horse_is_one_plain_sentence(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--barn", str(small), "programme", "Nobody"]) == 1
    assert capsys.readouterr().err == "There is no horse named Nobody in this barn.\n"


def test_a_broken_programme_is_said_and_the_answer_still_comes(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    programme_beside(small).write_text("[steps", encoding="utf-8")
    assert main(["--barn", str(small), "programme", "Alder", "--json"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["step"] == "free_work"
    assert err.startswith("The programme cannot be read")
