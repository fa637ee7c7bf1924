"""The page on paper: two sheets of A4. First what was done and the figures, then the pictures.

Text that is too long for its place is cut there with a mark, and stands in full on sheets after the two.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import chain

from annotate.deliver.contact_sheet import GAP, ContactSheet
from annotate.deliver.highlights import Material
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.content import Content, Day, content_of
from annotate.deliver.page.figures import Cell, Row
from annotate.deliver.page.line_drawing import Frame
from annotate.deliver.page.side_bars import draw_sides
from annotate.deliver.paper import MARGIN, WIDTH, Paper
from annotate.deliver.pdf_fonts import Type, find_type
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.deliver.webvtt import one_line

_LABEL = 92.0
_SIDES_WIDTH = 220.0
_LACKING = "Some signs of this text cannot be set here and are marked."
_READING = (
    "Time runs to the right; the height is the gait, above the axis on the left rein, below it on the right. "
    "A thorn is a reaction, as long as it was hard; the shaded ground ends where the horse was calm."
)


def pdf(material: Material, watch: Watch = UNWATCHED) -> bytes:
    """The file. Raises `Trouble` for a clip that cannot be read, `Cancelled` if stopped."""
    content = content_of(material)
    sheets = _Sheets(material, content, Paper(f"{content.horse}, {content.now.title}", find_type()))
    sheets.first()
    sheets.paper.next_sheet()
    sheets.second(watch)
    sheets.rest()
    return sheets.paper.done()


@dataclass
class _Sheets:
    """The sheets of one session on their way onto paper. `long`: the texts that were cut."""

    material: Material
    content: Content
    paper: Paper
    long: list[tuple[str, str]] = field(default_factory=list)
    waiting: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        parts = ("left_right", "reactions", "ladder")
        self.waiting = [part for part in parts if self.content.shows(part)]

    @property
    def type(self) -> Type:
        return self.paper.type

    # -- the first sheet

    def first(self) -> None:
        """What was done, and the figures."""
        self._head()
        content = self.content
        if content.shows("words"):
            size = 10.5 if sum(map(len, content.words)) < 900 else 9.0
            self._text("What was done", content.words, size, room=190)
        if content.shows("work_line"):
            self._lines()
        self._figures()

    def _figures(self) -> None:
        """What of the figures still fits on this sheet, in whatever order; the others wait for the next one."""
        waiting: list[str] = []
        for part in self.waiting:
            if self._height_of(part) > self.paper.room:
                waiting.append(part)
            else:
                self._put(part)
        self.waiting = waiting

    def _put(self, part: str) -> None:
        if part == "left_right":
            self._sides()
        elif part == "reactions":
            self._table(self.content.rows, [day.title for day in self.content.days])
        else:
            self._ladder()

    def _height_of(self, part: str) -> float:
        title = 8 + self.paper.height_of(1, 12) + 3
        if part == "left_right":
            return title + 14 + max(self._sides_height(day) for day in self.content.days if day.sides)
        if part == "reactions":
            return title + 15 + sum(self._row_height(row) for row in self.content.rows)
        return title + self.paper.height_of(len(self.content.ladder), 9)

    def _head(self) -> None:
        paper, content = self.paper, self.content
        name = self._cut(content.horse, 27, WIDTH, 1, bold=True)
        paper.write(name, 27, bold=True)
        paper.write(self._cut(content.now.title, 11, WIDTH, 1), 11, ink=colour.QUIET)
        if content.heading:
            paper.write(self._cut(one_line(content.heading), 11, WIDTH, 2, "Heading"), 11, bold=True)
        paper.y -= 6
        paper.rails()
        paper.y -= 10

    def _text(self, title: str, paragraphs: tuple[str, ...], size: float, room: float) -> None:
        paper = self.paper
        least = paper.height_of(1, size)
        for place, paragraph in enumerate(paragraphs):
            most = int(min(room, paper.room) / least)
            lines = paper.wrapped(paragraph, size, WIDTH)
            if len(lines) > most:
                paper.write([*lines[: max(0, most - 1)], "… (goes on after the pictures)"], size)
                self.long.append((title, "\n\n".join(paragraphs[place:])))
                return
            paper.write(lines, size, after=4)
            room -= paper.height_of(len(lines), size) + 4

    def _lines(self) -> None:
        paper = self.paper
        self._title("The work line")
        frame = _frame(self.content.until_ns, compared=self.content.then is not None)
        for day in self.content.days:
            drawing = self.content.draw(day, frame)
            if len(self.content.days) > 1:
                paper.write(self._cut(day.title, 9, WIDTH, 1), 9, bold=True, after=1)
            paper.y -= paper.draw(drawing, 0, WIDTH) + 4
        paper.write(paper.wrapped(_READING, 7.5, WIDTH), 7.5, ink=colour.QUIET)

    def _sides(self) -> None:
        paper = self.paper
        self._title("Left and right")
        width = (WIDTH - GAP) / 2
        shown = [day for day in self.content.days if day.sides]
        for place, day in enumerate(shown):
            x = place * (width + GAP)
            if len(shown) > 1:
                paper.put(self.type.fitted(day.title), x, paper.y - 9, 9, bold=True)
            top = paper.y
            paper.y -= 14 if len(shown) > 1 else 0
            paper.draw(draw_sides(day.sides, self.content.longest_side_ns, day.title), x, _SIDES_WIDTH)
            paper.y = top
        paper.y -= (14 if len(shown) > 1 else 0) + max(self._sides_height(day) for day in shown)

    def _sides_height(self, day: Day) -> float:
        drawing = draw_sides(day.sides, self.content.longest_side_ns, day.title)
        return drawing.height * _SIDES_WIDTH / drawing.width

    def _table(self, rows: tuple[Row, ...], heads: list[str]) -> None:
        paper = self.paper
        self._title("Reactions and recovery")
        width = (WIDTH - _LABEL) / len(heads)
        for place, head in enumerate(heads):
            paper.put(self.type.fitted(head), _LABEL + place * width, paper.y - 9, 9, bold=True)
        paper.y -= 13
        paper.rule(thick=1, ink=colour.INK)
        for row in rows:
            cells = [self._cell(cell, width - 8) for cell in row.cells]
            height = self._row_height(row)
            if height > paper.room:
                paper.write(self._cut("More rows are on the page.", 7.5, WIDTH, 1), 7.5, ink=colour.QUIET)
                return
            top = paper.y - 2
            paper.y = top
            paper.write(self._cut(row.title, 9, _LABEL - 6, 2), 9, ink=colour.QUIET)
            for place, (figure, note) in enumerate(cells):
                paper.y = top
                paper.write(figure, 9, x=_LABEL + place * width, bold=True)
                paper.write(note, 7.5, x=_LABEL + place * width, ink=colour.QUIET)
            paper.y = top - height + 2
            paper.rule()

    def _row_height(self, row: Row) -> float:
        paper = self.paper
        width = (WIDTH - _LABEL) / len(row.cells) - 8
        cells = [self._cell(cell, width) for cell in row.cells]
        return 5 + max(
            paper.height_of(len(figure), 9) + paper.height_of(len(note), 7.5) for figure, note in cells
        )

    def _cell(self, cell: Cell, width: float) -> tuple[list[str], list[str]]:
        figure = self._cut(cell.figure or "no reaction", 9, width, 2, bold=True)
        return figure, self._cut(cell.note, 7.5, width, 2) if cell.note else []

    def _ladder(self) -> None:
        paper = self.paper
        self._title("Steps of the programme")
        for rung in self.content.ladder:
            if paper.room < 12:
                return
            mark = "+" if rung.is_met else "–"
            paper.write(self._cut(f"{mark} {rung.title}: {rung.standing}", 9, WIDTH, 1, "Step"), 9)

    # -- the second sheet

    def second(self, watch: Watch) -> None:
        """The contact sheet, what comes next, and the cautions at the foot."""
        paper, content = self.paper, self.content
        for part in self.waiting:
            self._put(part)
        foot = self._foot_height()
        after = self._next_height() if content.next_words else 0.0
        if content.shows("passages"):
            self._title("Passages")
            ContactSheet(paper, self.material, content, self.long).put(paper.room - foot - after, watch)
        if content.next_words:
            self._title("What comes next")
            self._text("What comes next", content.next_words, 10, max(24.0, paper.room - foot - 8))
        self._foot(foot)

    def _next_height(self) -> float:
        lines = [self.paper.wrapped(paragraph, 10, WIDTH) for paragraph in self.content.next_words]
        return min(160.0, 40 + self.paper.height_of(sum(map(len, lines)), 10) + 4 * len(lines))

    # -- what both sheets need

    def _title(self, title: str) -> None:
        self.paper.y -= 8
        self.paper.write([title], 12, bold=True, after=3)

    def _foot_lines(self) -> list[str]:
        wrapped = (self.paper.wrapped(caution, 7.5, WIDTH) for caution in self.content.cautions)
        signed = one_line(self.content.choice.signed)
        by = self._cut(signed, 7.5, WIDTH, 1, "Signed") if signed else []
        return [*by, *chain.from_iterable(wrapped)]

    def _foot_height(self) -> float:
        return self.paper.height_of(len(self._foot_lines()) + 1, 7.5) + 14

    def _foot(self, height: float) -> None:
        paper = self.paper
        paper.y = MARGIN + height - 8
        paper.rails()
        paper.y -= 4
        lines = self._foot_lines()
        paper.write([*lines, *([_LACKING] if self.type.lacked else [])], 7.5, ink=colour.QUIET)

    def _cut(
        self, text: str, size: float, width: float, most: int, title: str = "", *, bold: bool = False
    ) -> list[str]:
        """At most so many lines; what is cut is kept in full under `title`, if it has one."""
        lines, is_whole = self.paper.cut(text, size, width, most, bold=bold)
        if title and not is_whole and (title, text) not in self.long:
            self.long.append((title, text))
        return lines

    # -- what was too long

    def rest(self) -> None:
        """The texts that were cut, in full."""
        if not self.long:
            return
        paper = self.paper
        paper.next_sheet()
        paper.write(["In full"], 12, bold=True, after=6)
        for title, text in self.long:
            for line, bold in [(title, True), *((line, False) for line in paper.wrapped(text, 9, WIDTH))]:
                if paper.room < 14:
                    paper.next_sheet()
                paper.write([line], 9, bold=bold)
            paper.y -= 8


def _frame(until_ns: int, *, compared: bool) -> Frame:
    """Larger letters than on a screen, for the line is set half as wide."""
    step, thorn = (13.0, 7.0) if compared else (18.0, 10.0)
    return Frame(720, until_ns, step=step, thorn=thorn, size=11, gutter=66, row=14)
