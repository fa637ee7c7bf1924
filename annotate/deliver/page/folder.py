"""Writes the page: a folder with one `index.html` and what it shows, and the same folder as a zip.

Everything is made beside its place first. Stopped, or with a full disk, nothing is left, and a page that was
there before is untouched.
"""

from __future__ import annotations

import re
import shutil
import tempfile
import unicodedata
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from annotate.deliver.cuts import Cut
from annotate.deliver.highlights import Material
from annotate.deliver.page.content import Content, Scene, content_of
from annotate.deliver.page.markup import ClipInPage, Picture, SceneFiles, page_html
from annotate.deliver.page.small_clip import small_size, write_small_clip
from annotate.deliver.page.stills import Still, jpeg_size, poster_of, read_jpegs, stills_of
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.sessions import Session
from annotate.writing import in_words, make_folder, written_whole

STRIP = 3
_STRIP_SIDE = 480
_PLACES = ("at its beginning", "half-way through", "at its end")
_OURS = re.compile(r"passage-[0-9]+(-[0-9]+)?\.(mp4|jpg)|still-[0-9]+-[0-9]+\.jpg|index\.html")


def file_name(session: Session, *, day: bool = True) -> str:
    """A name for the owner's files that every system takes: 'Juniper-2026-05-25'."""
    plain = unicodedata.normalize("NFKD", session.horse).encode("ascii", "ignore").decode()
    horse = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:40].strip("-") or "horse"
    if not day:
        return horse
    number = f"-{session.number}" if session.number > 1 else ""
    return f"{horse}-{session.day.isoformat()}{number}"


def write_page(material: Material, folder: Path, watch: Watch = UNWATCHED) -> list[Path]:
    """Writes the page's folder and its zip into `folder`; gives the page and the zip.

    Raises `Trouble` for a clip that cannot be read and where the disk refuses, `Cancelled` if stopped.
    """
    content = content_of(material)
    name = file_name(material.session)
    make_folder(folder)
    with _beside(folder) as making:
        work = _Making(material, content, making, watch)
        (making / "index.html").write_text(page_html(content, work.files()), encoding="utf-8", newline="\n")
        place, packed = folder / name, folder / f"{name}.zip"
        with written_whole(packed) as beside:
            _pack(making, name, beside, material.session)
        _move(making, place)
    return [place / "index.html", packed]


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    try:
        with tempfile.TemporaryDirectory(prefix=".page-", dir=folder) as made:
            yield Path(made)
    except OSError as error:
        raise in_words(error, folder) from error


def _pack(making: Path, name: str, to: Path, session: Session) -> None:
    """Every entry lies in one folder; nothing of this machine goes along, not even its clock."""
    day = (max(1980, session.day.year), session.day.month, session.day.day, 0, 0, 0)
    with zipfile.ZipFile(to, "w") as packed:
        for path in sorted(making.iterdir()):
            entry = zipfile.ZipInfo(f"{name}/{path.name}", day)
            entry.external_attr = 0o644 << 16
            is_text = path.suffix == ".html"
            entry.compress_type = zipfile.ZIP_DEFLATED if is_text else zipfile.ZIP_STORED
            with path.open("rb") as source, packed.open(entry, "w") as into:
                shutil.copyfileobj(source, into)


def _move(making: Path, place: Path) -> None:
    """Into its place, the page itself last; what an older page left there and this one lacks goes away."""
    make_folder(place)
    names = sorted((path.name for path in making.iterdir()), key=lambda name: name == "index.html")
    for name in names:
        (making / name).replace(place / name)
    for old in place.iterdir():
        if old.name not in names and _OURS.fullmatch(old.name):
            old.unlink()


@dataclass(frozen=True)
class _Making:
    """Clips and stills on their way into the folder."""

    material: Material
    content: Content
    folder: Path
    watch: Watch

    def files(self) -> dict[int, SceneFiles]:
        """Makes them; which passage is shown by which."""
        if not self.content.shows("passages"):
            return {}
        has_clips, has_stills = self.content.shows("clips"), self.content.shows("stills")
        cuts = [cut for scene in self.content.scenes for cut in scene.cuts]
        frames = sum(len(cut.frames or ()) for cut in cuts) if has_clips else 0
        of = frames + len(self.content.scenes)
        done = 0

        def count() -> None:
            nonlocal done
            done += 1
            self.watch.go_on(done, max(of, done))

        made: dict[int, SceneFiles] = {}
        for scene in self.content.scenes:
            clips = self._clips(scene, count) if has_clips else ()
            picture = self._picture(scene) if has_stills and not clips else None
            strip = self._strip(scene) if has_stills else ()
            made[scene.number] = SceneFiles(clips, picture, strip)
            count()
        return made

    def _clips(self, scene: Scene, count: Callable[[], None]) -> tuple[ClipInPage, ...]:
        made = []
        for piece, cut in enumerate(scene.cuts, 1):
            if cut.facts is None or cut.frames is None:
                continue
            name = f"passage-{scene.number}" + (f"-{piece}" if len(scene.cuts) > 1 else "")
            write_small_clip(cut.facts, cut.frames, self.folder / f"{name}.mp4", count)
            self._write(f"{name}.jpg", self._poster(cut))
            made.append(ClipInPage(f"{name}.mp4", f"{name}.jpg", *small_size(cut.facts.shown_size)))
        return tuple(made)

    def _poster(self, cut: Cut) -> list[Still]:
        still = poster_of(cut, self.material.tags, self.material.sheet)
        return [still] if still is not None else []

    def _picture(self, scene: Scene) -> Picture | None:
        cut = next((cut for cut in scene.cuts if cut.facts is not None), None)
        if cut is None or cut.facts is None:
            return None
        name = f"passage-{scene.number}.jpg"
        self._write(name, self._poster(cut))
        return Picture(name, *jpeg_size(cut.facts.shown_size))

    def _strip(self, scene: Scene) -> tuple[Picture, ...]:
        stills = stills_of(scene, STRIP)
        pictures = []
        for place, (still, data) in enumerate(zip(stills, read_jpegs(stills, _STRIP_SIDE), strict=True)):
            name = f"still-{scene.number}-{place + 1}.jpg"
            (self.folder / name).write_bytes(data)
            words = _PLACES[place] if len(stills) == STRIP else f"picture {place + 1}"
            pictures.append(Picture(name, *jpeg_size(still.facts.shown_size, _STRIP_SIDE), words))
        return tuple(pictures)

    def _write(self, name: str, stills: list[Still]) -> None:
        for data in read_jpegs(stills):
            (self.folder / name).write_bytes(data)
