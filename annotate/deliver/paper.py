"""A sheet of A4 that is filled from the top: lines of text that fit, drawings, pictures.

Lengths are points (1/72 inch), `y` runs up from the foot as PDF has it.
"""

from __future__ import annotations

from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.drawing import Box, Dot, Drawing, Path, Words
from annotate.deliver.pdf_fonts import Type

_ACROSS, _DOWN = (float(side) for side in A4)
MARGIN = 42.0
WIDTH = _ACROSS - 2 * MARGIN
_LEADING = 1.32


class Paper:
    """Sheets in one file. `y` is where the next thing goes."""

    def __init__(self, title: str, type_: Type) -> None:
        self.type = type_
        self._made = BytesIO()
        # invariant: no clock and no random number of this machine goes into the file.
        self._canvas = Canvas(self._made, pagesize=A4, invariant=1, lang="en")
        self._canvas.setTitle(type_.fitted(title))
        self._canvas.setAuthor("")
        self._canvas.setCreator("")
        self._canvas.setProducer("")
        self.y = _DOWN - MARGIN
        self.sheets = 1

    @property
    def room(self) -> float:
        """What is left of this sheet."""
        return self.y - MARGIN

    def next_sheet(self) -> None:
        """Ends this sheet."""
        self._canvas.showPage()
        self.y = _DOWN - MARGIN
        self.sheets += 1

    def done(self) -> bytes:
        """The file."""
        self._canvas.showPage()
        self._canvas.save()
        return self._made.getvalue()

    def wrapped(self, text: str, size: float, width: float, *, bold: bool = False) -> list[str]:
        """Text in lines that fit; a word that is wider than a line is broken."""
        lines: list[str] = []
        for part in text.splitlines() or [""]:
            line = ""
            for word in self.type.fitted(part).split(" "):
                longer = f"{line} {word}".strip()
                if self.type.width(longer, size, bold=bold) <= width:
                    line = longer
                    continue
                if line:
                    lines.append(line)
                line = word
                while self.type.width(line, size, bold=bold) > width and len(line) > 1:
                    fits = self._fitting(line, size, width, bold)
                    lines.append(line[:fits])
                    line = line[fits:]
            lines.append(line)
        return lines

    def cut(
        self, text: str, size: float, width: float, most: int, *, bold: bool = False
    ) -> tuple[list[str], bool]:
        """At most so many lines, the last with a mark where there were more; and whether that was all."""
        lines = self.wrapped(text, size, width, bold=bold)
        if len(lines) <= most:
            return lines, True
        last = lines[most - 1]
        while last and self.type.width(f"{last}…", size, bold=bold) > width:
            last = last[:-1]
        return [*lines[: most - 1], f"{last}…"], False

    def height_of(self, lines: int, size: float) -> float:
        """How much room lines take."""
        return lines * size * _LEADING

    def write(
        self,
        lines: list[str],
        size: float,
        *,
        x: float = 0,
        bold: bool = False,
        ink: str = colour.INK,
        after: float = 0,
    ) -> None:
        """Lines below each other from `x` of the text's left edge; `y` goes below them."""
        for line in lines:
            self.y -= size * _LEADING
            self.put(line, x, self.y + size * 0.3, size, bold=bold, ink=ink)
        self.y -= after

    def put(
        self, line: str, x: float, y: float, size: float, *, bold: bool = False, ink: str = colour.INK
    ) -> None:
        """One fitted line at a place; nothing else moves."""
        self._canvas.setFillColor(HexColor(ink))
        self._canvas.setFont(self.type.bold if bold else self.type.plain, size)
        self._canvas.drawString(MARGIN + x, y, line)

    def rule(self, x: float = 0, width: float = WIDTH, *, thick: float = 0.6, ink: str = colour.RULE) -> None:
        """A line across, at `y`."""
        self._canvas.setStrokeColor(HexColor(ink))
        self._canvas.setLineWidth(thick)
        self._canvas.line(MARGIN + x, self.y, MARGIN + x + width, self.y)

    def rails(self) -> None:
        """Two rules close together, as a fence has them."""
        self.rule(thick=1.6, ink=colour.INK)
        self.y -= 3.6
        self.rule(thick=1.6, ink=colour.INK)

    def draw(self, drawing: Drawing, x: float, width: float) -> float:
        """A drawing with its upper edge at `y`; gives its height. `y` stays."""
        scale = width / drawing.width
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(MARGIN + x, self.y)
        canvas.scale(scale, -scale)
        for shape in drawing.shapes:
            if isinstance(shape, Box):
                canvas.setFillColor(HexColor(shape.fill))
                canvas.rect(shape.x, shape.y, shape.width, shape.height, stroke=0, fill=1)
            elif isinstance(shape, Dot):
                canvas.setFillColor(HexColor(shape.fill))
                canvas.setStrokeColor(HexColor(shape.rim))
                canvas.setLineWidth(1)
                canvas.circle(shape.x, shape.y, shape.radius, stroke=1, fill=1)
            elif isinstance(shape, Path):
                self._path(shape)
            else:
                self._words(shape)
        canvas.restoreState()
        return drawing.height * scale

    def picture(self, data: bytes, x: float, top: float, width: float, height: float) -> None:
        """A JPEG fitted into a box, at its upper left, which is (x, top)."""
        read = ImageReader(BytesIO(data))
        across, down = read.getSize()
        scale = min(width / across, height / down)
        shown = (across * scale, down * scale)
        self._canvas.drawImage(read, MARGIN + x, top - shown[1], *shown)

    def _fitting(self, line: str, size: float, width: float, bold: bool) -> int:
        """How many signs of a line fit, at least one; by halving."""
        fits, beyond = 1, len(line)
        while fits + 1 < beyond:
            middle = (fits + beyond) // 2
            if self.type.width(line[:middle], size, bold=bold) <= width:
                fits = middle
            else:
                beyond = middle
        return fits

    def _path(self, shape: Path) -> None:
        canvas = self._canvas
        made = canvas.beginPath()
        for place, (x, y) in enumerate(shape.points):
            if place:
                made.lineTo(x, y)
            else:
                made.moveTo(x, y)
        if shape.closed:
            made.close()
        if shape.fill:
            canvas.setFillColor(HexColor(shape.fill))
        if shape.stroke:
            canvas.setStrokeColor(HexColor(shape.stroke))
            canvas.setLineWidth(shape.width)
        canvas.setDash([shape.dash, shape.dash] if shape.dash else [])
        canvas.drawPath(made, stroke=1 if shape.stroke else 0, fill=1 if shape.fill else 0)
        canvas.setDash([])

    def _words(self, shape: Words) -> None:
        canvas, text = self._canvas, self.type.fitted(shape.text)
        width = self.type.width(text, shape.size, bold=shape.bold)
        back = {"start": 0.0, "middle": width / 2, "end": width}[shape.anchor]
        canvas.saveState()
        canvas.translate(shape.x - back, shape.y)
        canvas.scale(1, -1)
        canvas.setFillColor(HexColor(shape.fill))
        canvas.setFont(self.type.bold if shape.bold else self.type.plain, shape.size)
        canvas.drawString(0, 0, text)
        canvas.restoreState()
