"""The type that the paper is set in, and what it cannot show.

A DejaVu Sans that the system has covers Latin, Greek, Cyrillic and many signs. Without one, the paper's own
Helvetica covers Western Latin only. Signs that the type lacks are replaced, and writing from right to left,
which is not set in order here, is counted among them; the paper then says so.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from annotate.deliver.page.drawing import clean

_REPLACEMENT = "□"
_FOLDERS = (
    Path("/usr/share/fonts"),
    Path("/usr/local/share/fonts"),
    Path("/Library/Fonts"),
    Path("C:/Windows/Fonts"),
)
_PLAIN, _BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"


@dataclass
class Type:
    """A plain and a bold face by the names that the paper knows, and whether a sign had to be replaced."""

    plain: str
    bold: str
    holds: Callable[[str], bool]
    mark: str
    lacked: bool = field(default=False)

    def fitted(self, text: str) -> str:
        """The text in one line, with signs that this type can show."""
        kept = []
        for sign in clean(text):
            if unicodedata.category(sign) in ("Cf", "Mn") and not self.holds(sign):
                self.lacked = self.lacked or unicodedata.category(sign) == "Mn"
            elif self.holds(sign) and unicodedata.bidirectional(sign) not in ("R", "AL"):
                kept.append(sign)
            else:
                self.lacked = True
                kept.append(self.mark)
        return "".join(kept)

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a line of fitted text is."""
        return float(pdfmetrics.stringWidth(text, self.bold if bold else self.plain, size))


def find_type(folders: Iterable[Path] = _FOLDERS) -> Type:
    """DejaVu Sans where the system has it, or else Helvetica."""
    for folder in folders:
        plain = _found(folder, _PLAIN)
        bold = _found(folder, _BOLD)
        if plain is None:
            continue
        try:
            faces = [TTFont("Plain", str(plain)), TTFont("Bold", str(bold or plain))]
        except TTFError:
            continue
        for face in faces:
            pdfmetrics.registerFont(face)
        return Type("Plain", "Bold", _among(frozenset(faces[0].face.charToGlyph)), _REPLACEMENT)
    return Type("Helvetica", "Helvetica-Bold", _in_western_latin, "?")


def _among(signs: frozenset[int]) -> Callable[[str], bool]:
    return lambda sign: ord(sign) in signs


def _found(folder: Path, name: str) -> Path | None:
    return next(iter(sorted(folder.rglob(name))), None) if folder.is_dir() else None


def _in_western_latin(sign: str) -> bool:
    try:
        sign.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True
