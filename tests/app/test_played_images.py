"""A frame has the same picture while it plays as when it stands."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from annotate.media.reader import FrameReader
from app.bringing_in import bring_in
from app.player import Player
from store.barn import Barn
from tests.made_clips import ClipBox

_LEVELS = 6  # of 255: what another order of rounding can make, where Qt converts


def pixels(image: QImage) -> NDArray[np.int16]:
    rgb = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(rgb.constBits(), np.uint8).reshape(rgb.height(), rgb.bytesPerLine())
    return rows[:, : 3 * rgb.width()].reshape(rgb.height(), rgb.width(), 3).astype(np.int16)


@pytest.mark.parametrize("name", ["constant_25", "b_frames", "hevc", "photos_in_avi"])
def test_a_played_frame_has_the_colours_of_the_standing_one(
    name: str, barn: Barn, clips: ClipBox, qtbot: QtBot
) -> None:
    [clip] = barn.clips(bring_in(barn, [clips.get(name).path], horse="Thistle"))
    player = Player()
    with qtbot.waitSignal(player.frame_shown) as shown:
        player.play(clip, 5, 1.0)
    _, number, image = shown.args
    player.close()
    with FrameReader(clip.facts) as reader:
        standing = reader.frame(number).astype(np.int16)
    assert np.abs(pixels(image) - standing).max() <= 1


def test_a_turned_clip_plays_upright(barn: Barn, clips: ClipBox, qtbot: QtBot) -> None:
    [clip] = barn.clips(bring_in(barn, [clips.get("turned_90").path], horse="Thistle"))
    player = Player()
    with qtbot.waitSignal(player.frame_shown) as shown:
        player.play(clip, 5, 1.0)
    _, number, image = shown.args
    player.close()
    with FrameReader(clip.facts) as reader:
        standing = reader.frame(number).astype(np.int16)
    assert pixels(image).shape == standing.shape
    assert np.abs(pixels(image) - standing).mean() <= _LEVELS
