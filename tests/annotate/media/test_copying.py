from __future__ import annotations

from pathlib import Path

import pytest

from annotate.errors import Cancelled, ClipTrouble
from annotate.media import copying
from annotate.media.copying import copy_clip

CONTENT = bytes(range(256)) * 400


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copying, "_CHUNK", 1000)


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "card" / "a.mp4"
    path.parent.mkdir()
    path.write_bytes(CONTENT)
    return path


def test_a_copy_is_the_same_and_alone(source: Path, tmp_path: Path) -> None:
    steps: list[tuple[int, int]] = []
    made = copy_clip(source, tmp_path / "to" / "a.mp4", lambda done, of: steps.append((done, of)))
    assert made.read_bytes() == CONTENT
    assert [path.name for path in made.parent.iterdir()] == ["a.mp4"]
    assert steps == sorted(steps)
    assert steps[-1] == (2 * len(CONTENT), 2 * len(CONTENT))


def test_a_copy_that_was_stopped_is_carried_on(source: Path, tmp_path: Path) -> None:
    asked = iter([False] * 30)
    with pytest.raises(Cancelled):
        copy_clip(source, tmp_path / "a.mp4", cancelled=lambda: next(asked, True))
    part = tmp_path / ".a.mp4.part"
    assert part.read_bytes() == CONTENT[:30_000]
    written: list[int] = []
    copy_clip(source, tmp_path / "a.mp4", lambda done, of: written.append(done))
    assert written[0] == 31_000
    assert (tmp_path / "a.mp4").read_bytes() == CONTENT
    assert not part.exists()


@pytest.mark.parametrize("part", [b"another clip", CONTENT + b"more"])
def test_the_part_of_another_clip_is_not_carried_on(source: Path, tmp_path: Path, part: bytes) -> None:
    (tmp_path / ".a.mp4.part").write_bytes(part)
    assert copy_clip(source, tmp_path / "a.mp4").read_bytes() == CONTENT


def test_the_same_clip_is_not_copied_twice(source: Path, tmp_path: Path) -> None:
    first = copy_clip(source, tmp_path / "a.mp4")
    assert copy_clip(source, tmp_path / "a.mp4") == first
    assert len(list(tmp_path.glob("*.mp4"))) == 1


def test_another_clip_of_that_name_is_left_alone(source: Path, tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(b"another")
    assert copy_clip(source, tmp_path / "a.mp4") == tmp_path / "a-2.mp4"
    assert (tmp_path / "a.mp4").read_bytes() == b"another"


def test_a_card_that_is_pulled_out_leaves_what_was_copied_to_be_carried_on(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reads = iter(range(10))

    class Pulled:
        def __init__(self, file: object) -> None:
            self.file = file

        def __enter__(self) -> Pulled:
            return self

        def __exit__(self, *_: object) -> None:
            self.file.close()  # type: ignore[attr-defined]

        def seek(self, at: int) -> None:
            self.file.seek(at)  # type: ignore[attr-defined]

        def read(self, size: int) -> bytes:
            if next(reads, None) is None:
                raise OSError(5, "Input/output error")
            return self.file.read(size)  # type: ignore[attr-defined, no-any-return]

    opened = Path.open
    monkeypatch.setattr(
        Path, "open", lambda self, mode: Pulled(opened(self, mode)) if self == source else opened(self, mode)
    )
    with pytest.raises(ClipTrouble, match="Put the card in again and carry on"):
        copy_clip(source, tmp_path / "a.mp4")
    monkeypatch.undo()
    assert (tmp_path / ".a.mp4.part").stat().st_size == 10_000
    assert not (tmp_path / "a.mp4").exists()


def test_a_clip_that_is_gone_is_said(tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match="See that the card is in"):
        copy_clip(tmp_path / "gone.mp4", tmp_path / "a.mp4")


def test_a_disk_that_writes_wrongly_is_noticed(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = copying.keep_on_disk

    def spoil(path: Path) -> None:
        kept(path)
        if path.name.endswith(".part"):
            path.write_bytes(b"!" + CONTENT[1:])

    monkeypatch.setattr(copying, "keep_on_disk", spoil)
    with pytest.raises(ClipTrouble, match="not the same as the clip"):
        copy_clip(source, tmp_path / "a.mp4")
    assert [path.name for path in tmp_path.iterdir()] == ["card"]
