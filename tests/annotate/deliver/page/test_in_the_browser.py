"""The page in a real browser: it plays, it fits, it prints, it asks for nothing outside its folder."""

from __future__ import annotations

import base64
import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from annotate.deliver.page.choice import Choice
from annotate.deliver.page.folder import write_page
from annotate.deliver.reel.reel import write_reel
from annotate.deliver.series import series
from annotate.passages import Passage
from tests.annotate.deliver.page.browser import Browser
from tests.annotate.deliver.page.made import HOSTILE, S, earlier, filmed, material
from tests.annotate.deliver.reel.reels import cuts_of
from tests.annotate.tagged import event, state
from tests.made_clips import ClipBox

PLAY = """
(async () => {
  const told = [];
  for (const video of document.querySelectorAll('video')) {
    video.muted = true;
    const ended = new Promise((done, failed) => {
      video.addEventListener('ended', done);
      setTimeout(() => failed(new Error('the clip did not play to its end')), 15000);
    });
    await Promise.race([video.play().then(() => ended), ended]);
    told.push([video.currentTime, video.videoWidth, video.videoHeight, video.error]);
  }
  return told;
})()
"""
TAGS = (state("trot", 0, 3), state("left_rein", 0, 3), event("spook", 1, severity=3), event("calm", 2))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("page")
    clips = ClipBox(folder)
    one = filmed(
        clips.get("constant_25").path,
        Passage(S, 2 * S, "Spook, calm after 1 s", 0),
        Passage(2 * S, 5 * S // 2, " ".join(HOSTILE), 1),
        tags=TAGS,
    )
    compared = replace(one, earlier=earlier(), choice=Choice(heading="Flag", words="\n\n".join(HOSTILE)))
    return write_page(compared, folder / "stick")[0]


def test_every_clip_plays_to_its_end_and_nothing_is_asked_for_outside_the_folder(
    browser: Browser, page: Path
) -> None:
    shown = browser.open(page)
    (first, second) = shown.run(PLAY)
    assert first == [pytest.approx(1, abs=0.05), 160, 120, None]
    assert second == [pytest.approx(0.5, abs=0.05), 160, 120, None]
    assert shown.complaints == []
    folder = page.parent.as_uri()
    assert [url for url in shown.requests if not url.startswith((f"{folder}/", "data:"))] == []
    assert f"{folder}/passage-1.mp4" in shown.requests


def test_a_reel_of_mixed_clips_plays_to_its_end(browser: Browser, tmp_path: Path) -> None:
    box = ClipBox(tmp_path)
    names = ("b_frames", "hevc", "turned_90", "variable")
    some = cuts_of([box.get(name).path for name in names], [(0, 25, 40), (1, 5, 9), (2, 3, 9), (3, 5, 9)])
    write_reel(some, tmp_path / "reel.mp4")
    (tmp_path / "page.html").write_text('<!DOCTYPE html><link rel="icon" href="data:,"><video src="reel.mp4">')
    shown = browser.open(tmp_path / "page.html")
    [[ended_s, *size, error]] = shown.run(PLAY)
    assert ended_s == pytest.approx(float(some[-1].reel_end), abs=0.05)
    assert (size, error) == ([160, 120], None)
    assert shown.complaints == []


def test_no_text_became_a_script_or_an_element(browser: Browser, page: Path) -> None:
    shown = browser.open(page)
    assert shown.run("document.querySelectorAll('script, b, i, [onerror]').length") == 0
    assert "<script>alert(1)</script>" in shown.run("document.body.innerText")
    assert "{{ 7*7 }}" in shown.run("document.body.innerText")


@pytest.mark.parametrize(("width", "line"), [(360, "narrow"), (1280, "wide")])
def test_it_fits_a_phone_and_a_desk(browser: Browser, page: Path, width: int, line: str) -> None:
    shown = browser.open(page)
    shown.size(width, 800)
    assert shown.run("document.documentElement.scrollWidth") <= width
    seen = "[...document.querySelectorAll('svg')].filter((s) => s.getClientRects().length)"
    kinds = shown.run(f"{seen}.map((s) => s.getAttribute('class')).filter(Boolean)")
    assert set(kinds) == {line}
    letters = f"{seen}.flatMap((s) => [...s.querySelectorAll('text')])"
    assert min(shown.run(f"{letters}.map((t) => t.getBoundingClientRect().height)")) > 8


def test_a_hearer_is_told_what_is_there(browser: Browser, page: Path) -> None:
    shown = browser.open(page)
    nodes = shown.call("Accessibility.getFullAXTree")["nodes"]
    told = [(node.get("role", {}).get("value"), node.get("name", {}).get("value")) for node in nodes]
    assert ("heading", "Bramble") in told
    pictures = [str(name) for role, name in told if role in ("image", "img")]
    assert any(name.startswith("Work line of Bramble, 25 May 2026") for name in pictures)
    assert all(pictures)
    films = [name for role, name in told if str(role).lower() == "video"]
    assert films[0] == "Passage 1: Spook, calm after 1 s"


def test_headings_go_down_step_by_step_and_every_picture_has_words(browser: Browser, page: Path) -> None:
    shown = browser.open(page)
    levels = shown.run("[...document.querySelectorAll('h1,h2,h3,h4')].map((h) => Number(h.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in pairwise(levels))
    assert shown.run("[...document.images].every((i) => i.alt)") is True
    named = "(s) => s.ariaLabel || document.getElementById(s.getAttribute('aria-labelledby'))"
    assert shown.run(f"[...document.querySelectorAll('section')].map({named}).every(Boolean)") is True
    assert shown.run("document.documentElement.lang") == "en"


def test_it_prints_with_pictures_in_place_of_clips(browser: Browser, page: Path) -> None:
    shown = browser.open(page)
    printed = shown.call("Page.printToPDF", printBackground=False)["data"]
    read = PdfReader(io.BytesIO(base64.b64decode(printed)))
    said = " ".join(sheet.extract_text() for sheet in read.pages).split()
    assert "Spook, calm after 1 s" in " ".join(said)
    assert sum(len(sheet.images) for sheet in read.pages) >= 2
    shown.call("Emulation.setEmulatedMedia", media="print")
    seen = "[...document.querySelectorAll('video')].some((v) => v.getClientRects().length)"
    assert shown.run(seen) is False


def test_the_report_over_sessions_needs_nothing_beside_it(browser: Browser, tmp_path: Path) -> None:
    path = tmp_path / "sessions.html"
    one = material()
    path.write_text(series(replace(one, series=(earlier(), earlier()))), encoding="utf-8")
    shown = browser.open(path)
    assert shown.complaints == []
    assert [url for url in shown.requests if not url.startswith("data:")] == [path.as_uri()]
    shown.size(360, 800)
    assert shown.run("document.documentElement.scrollWidth") <= 360
