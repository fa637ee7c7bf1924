"""The paper, read back: two sheets with text and pictures; what is too long stands in full behind."""

from __future__ import annotations

import io
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from annotate.clock import NS_PER_S
from annotate.deliver.page.choice import Choice, Rung
from annotate.deliver.pdf import pdf
from annotate.deliver.pdf_fonts import find_type
from annotate.deliver.watch import Watch
from annotate.errors import Cancelled
from annotate.passages import Passage
from tests.annotate.deliver.page.made import HOSTILE, earlier, filmed, material
from tests.made_clips import ClipBox

S = NS_PER_S
SIXTH = S // 6


def read(data: bytes) -> tuple[PdfReader, str]:
    reader = PdfReader(io.BytesIO(data))
    return reader, " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ClipBox(tmp_path_factory.mktemp("clips")).get("constant_25").path


@pytest.mark.parametrize("count", [1, 3, 5, 12, 16])
def test_it_is_two_sheets_with_a_picture_of_every_passage(clip: Path, count: int) -> None:
    passages = tuple(Passage(n * SIXTH, (n + 1) * SIXTH, f"Number {n}", n) for n in range(count))
    reader, said = read(pdf(replace(filmed(clip, *passages), earlier=earlier())))
    assert len(reader.pages) == 2
    assert all(f"{n + 1} Number {n}" in said for n in range(count))
    assert sum(len(page.images) for page in reader.pages) == (3 * count if count < 5 else count)


def test_what_was_chosen_is_on_it(clip: Path) -> None:
    choice = Choice(heading="Flag", words="First.\n\nSecond.", next_words="Saddle.", signed="A. Trainer")
    choice = replace(choice, parts=choice.parts | {"ladder"})
    one = material(earlier=earlier(), choice=choice, ladder=(Rung("Flag", "met", is_met=True),))
    reader, said = read(pdf(one))
    for words in ("Bramble", "4 May 2026", "First.", "Second.", "The work line", "Left and right", "Saddle."):
        assert words in said
    assert "6 in 9 min" in said
    assert "could be as low as 0.24 or as high as 1.45 a minute" in said
    assert "A. Trainer" in said
    assert "do not say that a horse is safe or sound" in said
    assert len(reader.pages) == 2


def test_nothing_of_this_machine_is_in_it(clip: Path) -> None:
    one = filmed(clip, Passage(0, S, "a"))
    data = pdf(one)
    assert data == pdf(one)
    assert str(clip.parent).encode() not in data
    facts = PdfReader(io.BytesIO(data)).metadata
    assert facts is not None
    assert (facts.title, facts.author) == ("Bramble, 25 May 2026", "")


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_survives_in_every_field(clip: Path, text: str) -> None:
    choice = Choice(heading=text, words=text, next_words=text, signed=text)
    one = filmed(clip, Passage(0, S, text), horse=" ".join(text.split())[:100] or "x")
    reader, said = read(pdf(replace(one, choice=choice)))
    wanted = "".join(sign for sign in text if sign.isascii() and sign.isprintable() and not sign.isspace())
    assert wanted in "".join(said.split())
    assert len(reader.pages) == 2 or len(text) > 1000


def test_what_is_too_long_stands_in_full_behind_the_two_sheets(clip: Path) -> None:
    long = " ".join(f"word{n}" for n in range(700))
    one = replace(filmed(clip, Passage(0, S, long)), choice=Choice(words=long))
    reader, _ = read(pdf(one))
    behind = " ".join(" ".join(page.extract_text() for page in reader.pages[2:]).split())
    assert "In full" in behind
    assert behind.count(long) == 2


def test_signs_that_the_type_lacks_are_marked_and_said() -> None:
    lacking = find_type()
    assert lacking.fitted("Émile Ж Ω") == "Émile Ж Ω"
    assert not lacking.lacked
    assert lacking.fitted("馬 שלום\u202e") == "□ □□□□"
    assert lacking.lacked
    _, said = read(pdf(material(choice=Choice(signed="馬"))))
    assert "Some signs of this text cannot be set here and are marked." in said


def test_without_dejavu_western_latin_is_left(tmp_path: Path) -> None:
    plain = find_type([tmp_path, tmp_path / "none"])
    assert (plain.plain, plain.fitted("Émile Ж")) == ("Helvetica", "Émile ?")


def test_it_can_be_stopped(clip: Path) -> None:
    with pytest.raises(Cancelled):
        pdf(filmed(clip, Passage(0, S, "a")), Watch(is_cancelled=lambda: True))


def test_another_program_renders_it(clip: Path, tmp_path: Path) -> None:
    program = shutil.which("pdftoppm")
    if program is None:
        pytest.skip("pdftoppm is not on this machine")
    path = tmp_path / "page.pdf"
    path.write_bytes(pdf(filmed(clip, Passage(0, S, "a"))))
    done = subprocess.run(
        [program, "-r", "20", "-gray", str(path), str(tmp_path / "sheet")], capture_output=True, check=True
    )
    assert done.stderr == b""
    first, second = sorted(tmp_path.glob("*.pgm"))
    for sheet in (first, second):
        pixels = sheet.read_bytes().split(b"\n", 3)[3]
        assert min(pixels) < 60
        assert pixels.count(255) > len(pixels) // 3
