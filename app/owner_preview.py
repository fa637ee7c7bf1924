"""The owner's page as it will look, near enough to judge it by: the same texts and drawings, set by Qt.

The page itself is made by `annotate.deliver.page`; here nothing is added and nothing computed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from html import escape

from PySide6.QtCore import QByteArray, QUrl
from PySide6.QtGui import QImage, QPainter, QTextDocument
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QTextBrowser, QWidget

from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.content import Content, Scene
from annotate.deliver.page.drawing import Drawing, clean, svg
from annotate.deliver.page.line_drawing import wide
from annotate.deliver.page.side_bars import draw_sides
from app.turn_by_turn import TurnByTurn

_MARGIN_PX, _FINE = 40, 2
_STYLE = f"""
body {{ color: {colour.INK}; font-size: 14px; }}
h1 {{ font-family: Georgia, "DejaVu Serif", serif; font-size: 34px; margin: 0; }}
h2 {{ font-family: Georgia, "DejaVu Serif", serif; font-size: 19px; margin-top: 18px; margin-bottom: 6px; }}
p {{ margin-top: 0; margin-bottom: 8px; }}
.quiet {{ color: {colour.QUIET}; font-size: 12px; }}
.number {{ color: {colour.PASSAGE}; font-weight: bold; }}
td, th {{ padding: 4px 10px 4px 0; }}
"""


class OwnerPreview(QTextBrowser):
    """Shows a page's content on white, as wide as there is room. `show_stills` fills the pictures in."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Preview of the page"))
        self.setOpenLinks(False)
        self.setStyleSheet(
            f"QTextBrowser {{ background: {colour.PAPER}; color: {colour.INK}; border: none; padding: 8px; }}"
        )
        self.document().setDefaultStyleSheet(_STYLE)
        self._content: Content | None = None
        self._stills: dict[int, QImage] = {}
        self._drawings: dict[tuple[str, int], str] = {}
        self._laying_out = TurnByTurn(self)

    def show_content(self, content: Content, stills: Mapping[int, QImage]) -> None:
        """Shows the page anew, with the stills that are there; the place one had scrolled to stays."""
        self._content, self._stills = content, dict(stills)
        self._drawings.clear()
        self._set()

    def show_nothing(self) -> None:
        """An empty page: nothing of the one before stays."""
        self._content = None
        self._laying_out.begin(iter(()))
        self.clear()

    def show_stills(self, stills: Mapping[int, QImage]) -> None:
        """The picture of each passage, by its number."""
        self._stills = dict(stills)
        self._set()

    def _set(self) -> None:
        content = self._content
        if content is None:
            return
        self._laying_out.begin(self._laid_out(content))

    def _laid_out(self, content: Content) -> Iterator[None]:
        """The drawings take a turn each; the page is put in once it is whole."""
        parts: list[str] = []
        for part in self._parts(content):
            parts.append(part)
            yield
        at = self.verticalScrollBar().value()
        self.setHtml("".join(parts))
        self.verticalScrollBar().setValue(at)

    def _parts(self, content: Content) -> Iterator[str]:
        yield f"<h1>{_text(content.horse)}</h1>"
        yield f'<p class="quiet">{_text(content.now.title)}</p>'
        if content.heading:
            yield f"<p><b>{_text(content.heading)}</b></p>"
        yield "<hr>"
        if content.shows("words"):
            yield from (f"<p>{_lines(words)}</p>" for words in content.words)
        if content.shows("work_line"):
            yield "<h2>The work line</h2>"
            for place, day in enumerate(content.days):
                drawn = self._drawn(partial(content.draw, day, wide(content.until_ns)), f"line-{place}", 1)
                yield f"<p><b>{_text(day.title)}</b><br>{drawn}</p>"
        if content.shows("left_right"):
            yield "<h2>Left and right</h2><table width='100%'><tr>"
            for place, day in enumerate(day for day in content.days if day.sides):
                draw = partial(draw_sides, day.sides, content.longest_side_ns, day.title)
                drawn = self._drawn(draw, f"sides-{place}", 0.45)
                yield f"<td><b>{_text(day.title)}</b><br>{drawn}</td>"
            yield "</tr></table>"
        if content.shows("reactions"):
            yield from self._table(content)
        if content.shows("ladder"):
            yield "<h2>Steps of the programme</h2>"
            for rung in content.ladder:
                sign = "✓" if rung.is_met else "–"
                yield f'<p>{sign} <b>{_text(rung.title)}</b> <span class="quiet">{_text(rung.standing)}</span></p>'
        if content.shows("passages"):
            yield from self._scenes(content)
        if content.next_words:
            yield "<h2>What comes next</h2>"
            yield from (f"<p>{_lines(words)}</p>" for words in content.next_words)
        yield "<hr>"
        if content.choice.signed:
            yield f"<p>{_text(content.choice.signed)}</p>"
        yield from (f'<p class="quiet">{_text(line)}</p>' for line in content.cautions)

    def _table(self, content: Content) -> list[str]:
        heads = "".join(f"<th align='left'>{_text(day.title)}</th>" for day in content.days)
        parts = [f"<h2>Reactions and recovery</h2><table width='100%'><tr><td></td>{heads}</tr>"]
        for row in content.rows:
            cells = "".join(
                f"<td><b>{_text(cell.figure or 'no reaction')}</b>"
                + (f"<br><span class='quiet'>{_text(cell.note)}</span></td>" if cell.note else "</td>")
                for cell in row.cells
            )
            parts.append(f"<tr><td class='quiet'>{_text(row.title)}</td>{cells}</tr>")
        return [*parts, "</table>"]

    def _scenes(self, content: Content) -> list[str]:
        plays = content.shows("clips")
        parts = [f"<h2>{'The film' if plays else 'Passages'}</h2><table width='100%'>"]
        for scene in content.scenes:
            picture = self._picture(scene) if plays or content.shows("stills") else ""
            note = "plays in the page" if plays and scene.cuts else ""
            parts.append(
                f"<tr><td width='230'>{picture}</td><td><span class='number'>{scene.number}</span> "
                f"<b>{_lines(scene.caption)}</b><br>"
                f"<span class='quiet'>{_text(scene.when)}<br>{note}</span></td></tr>"
            )
        return [*parts, "</table>"]

    def _picture(self, scene: Scene) -> str:
        image = self._stills.get(scene.number)
        if image is None:
            return "<span class='quiet'>no picture</span>"
        name = f"still-{scene.number}"
        self.document().addResource(QTextDocument.ResourceType.ImageResource, QUrl(name), image)
        return f"<img src='{name}' width='210'>"

    def _drawn(self, draw: Callable[[], Drawing], name: str, share: float) -> str:
        """The drawing as an image of the document, as wide as its share of the paper; drawn once for each content."""
        width = max(200, int((self.viewport().width() - _MARGIN_PX) * share))
        if (name, width) not in self._drawings:
            self._drawings[name, width] = self._put_in(draw(), name, width)
        return self._drawings[name, width]

    def _put_in(self, drawing: Drawing, name: str, width: int) -> str:
        height = round(width * drawing.height / drawing.width)
        image = QImage(width * _FINE, height * _FINE, QImage.Format.Format_RGB32)
        image.fill(colour.PAPER)
        painter = QPainter(image)
        QSvgRenderer(QByteArray(svg(drawing, name).encode())).render(painter)
        painter.end()
        self.document().addResource(QTextDocument.ResourceType.ImageResource, QUrl(name), image)
        return f"<img src='{name}' width='{width}' height='{height}'>"


def _text(text: str) -> str:
    return escape(clean(text))


def _lines(text: str) -> str:
    return "<br>".join(_text(line) for line in text.splitlines())
