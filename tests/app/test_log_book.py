"""The log that a person can send."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.log_book import begin_log, without_folders


@pytest.fixture
def path(tmp_path: Path) -> Iterator[Path]:
    place = tmp_path / "logs" / "railside.log"
    handler = begin_log(place)
    assert handler is not None
    yield place
    logging.getLogger().removeHandler(handler)
    handler.close()


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("cannot read /home/ann/Videos/Juniper/clip_1.mp4.", "cannot read clip_1.mp4."),
        ("No such file: '/home/ann/My Horses/clip 1.mp4'", "No such file: 'clip 1.mp4'"),
        (r"C:\Users\ann\Biscuit\clip.mov is gone", "clip.mov is gone"),
        ("/data/My Horses/clip.mp4", "clip.mp4"),
        ("/home/me/Juniper Ranch/clip one.mp4", "clip one.mp4"),
        ("/home/me/Kim's Ranch/clip one.mp4", "clip one.mp4"),
        (r"cannot open C:\Users\Ann Other\Juniper Ranch\clip one.mp4: refused", "cannot open clip one.mp4: refused"),
        (r"\\server\Juniper Ranch\clip one.mp4", "clip one.mp4"),
        ("moved /a b/c d.mp4 to /e f/g h.mp4", "moved c d.mp4 to g h.mp4"),
        ("/home/me/v1.2 barn/St. Mary/clip one.mp4: failed", "clip one.mp4: failed"),
        ("(/home/a b/c.mp4), then more/less", "(c.mp4), then less"),
        ("file:///home/me/Juniper Ranch/clip one.mp4", "clip one.mp4"),
        ("nothing of the kind", "nothing of the kind"),
    ],
)
def test_folders_are_left_out(text: str, cut: str) -> None:
    assert without_folders(text) == cut


def test_a_traceback_names_files_and_no_folders(path: Path) -> None:
    try:
        Path("/home/ann/Juniper/clip.mp4").read_bytes()
    except OSError:
        logging.getLogger("test").exception("a clip failed")
    text = path.read_text(encoding="utf-8")
    assert "clip.mp4" in text
    assert "Juniper" not in text
    assert str(Path(__file__).parent) not in text


def test_what_is_no_warning_is_left_out(path: Path) -> None:
    logging.getLogger("test").info("all is well")
    assert path.read_text(encoding="utf-8") == ""


def test_without_a_place_for_it_there_is_no_log(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    assert begin_log(tmp_path / "file" / "railside.log") is None
