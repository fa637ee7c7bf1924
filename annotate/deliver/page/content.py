"""What stands on an owner's page, whatever it is written as: texts, drawings and scenes, not yet laid out.

Notes of tags, names of files and folders, the owner and whatever else the barn knows never come in here.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from annotate.behaviours import GAIT, REIN, Sheet
from annotate.clock import NS_PER_S, Span, Spans, clock_text, round_half_up
from annotate.days import day_text
from annotate.deliver.cuts import Cut, cuts
from annotate.deliver.highlights import Highlight, Material, highlights
from annotate.deliver.page.choice import Choice, Rung, Work
from annotate.deliver.page.drawing import Drawing
from annotate.deliver.page.figures import Row, reaction_rows
from annotate.deliver.page.line_drawing import Frame, draw_line
from annotate.deliver.page.side_bars import Sides, sides_of
from annotate.deliver.page.story import story
from annotate.deliver.wording import capital
from annotate.errors import Trouble
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.numbers.wording import duration_text
from annotate.programme.cautions import VERDICT
from annotate.rivals import group_of, title_of
from annotate.tags import in_order
from annotate.workline import WorkLine, work_line

CAUTIONS = (
    "These figures describe what the trainer tagged. They do not say that a horse is safe or sound.",
    "Young horses hurt people. Keep to what the trainer advises; wear a helmet, and do not work alone.",
    "Where a horse may be in pain, have a vet, a farrier and a saddle fitter look before more training.",
)
ONE_SESSION_EACH = (
    "One session each shows a difference between days; a few events can differ by chance alone."
)


@dataclass(frozen=True)
class Day:
    """One session as it is shown: its numbers and its work line."""

    title: str
    numbers: SessionNumbers
    line: WorkLine
    sides: tuple[Sides, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """A passage: its words, and what of which clip shows it."""

    number: int
    caption: str
    when: str
    said: str
    span: Span
    cuts: tuple[Cut, ...]


@dataclass(frozen=True)
class Content:
    """A page. `then` is the earlier session, if one was chosen."""

    horse: str
    heading: str
    choice: Choice
    sheet: Sheet
    now: Day
    then: Day | None
    words: tuple[str, ...]
    next_words: tuple[str, ...]
    rows: tuple[Row, ...]
    scenes: tuple[Scene, ...]
    ladder: tuple[Rung, ...]
    cautions: tuple[str, ...]

    @property
    def days(self) -> tuple[Day, ...]:
        """The earlier session, if any, then this one."""
        return (self.now,) if self.then is None else (self.then, self.now)

    @property
    def until_ns(self) -> int:
        """Where the time axis of every work line ends."""
        return max(day.line.end_ns for day in self.days)

    @property
    def longest_side_ns(self) -> int:
        """What reaches to the edge in every drawing of the reins."""
        return max((max(row.left_ns, row.right_ns) for day in self.days for row in day.sides), default=1)

    def shows(self, part: str) -> bool:
        """Whether a part is chosen and there is something in it."""
        filled = {
            "words": bool(self.words),
            "left_right": any(day.sides for day in self.days),
            "reactions": bool(self.rows),
            "ladder": bool(self.ladder),
            "passages": bool(self.scenes),
            "work_line": self.now.line.end_ns > 0,
        }
        return self.choice.shows(part) and filled.get(part, True)

    def draw(self, day: Day, frame: Frame) -> Drawing:
        """A day's work line; the passages are marked on this session's own."""
        marked = day is self.now and self.shows("passages")
        passages = [(scene.number, scene.span) for scene in self.scenes] if marked else []
        return draw_line(day.line, self.sheet, frame, f"Work line of {self.horse}, {day.title}", passages)


def content_of(material: Material) -> Content:
    """What stands on the page. Raises `Trouble` where the earlier session is another horse's."""
    choice, session = material.choice, material.session
    now = day_of(Work(session, material.tags), material.sheet)
    then = None
    if material.earlier is not None:
        if material.earlier.session.horse != session.horse:
            raise Trouble("A page compares sessions of one horse only.")
        then = day_of(material.earlier, material.sheet)
    words = choice.words
    if words is None:
        words = story(now.numbers, material.tags, then.numbers if then is not None else None)
    days = (now.numbers,) if then is None else (then.numbers, now.numbers)
    return Content(
        horse=session.horse,
        heading=choice.heading.strip(),
        choice=choice,
        sheet=material.sheet,
        now=now,
        then=then,
        words=paragraphs(words),
        next_words=paragraphs(choice.next_words),
        rows=reaction_rows(*days),
        scenes=_scenes(material),
        ladder=material.ladder,
        cautions=_cautions(material, compared=then is not None),
    )


def _cautions(material: Material, *, compared: bool) -> tuple[str, ...]:
    about_ladder = (VERDICT,) if material.ladder and material.choice.shows("ladder") else ()
    return (*((ONE_SESSION_EACH,) if compared else ()), *about_ladder, *CAUTIONS)


def day_of(work: Work, sheet: Sheet) -> Day:
    """A session with its numbers and its work line."""
    numbers = session_numbers(work.session, work.tags, sheet)
    title = day_text(work.session.day)
    if work.session.number > 1:
        title += f", session {work.session.number}"
    return Day(title, numbers, work_line(work.session, work.tags, sheet), sides_of(numbers))


def paragraphs(text: str) -> tuple[str, ...]:
    """Text a person wrote, parted where they left a line empty; single line ends are kept."""
    lines = "\n".join(text.splitlines())
    return tuple(part.strip("\n") for part in lines.split("\n\n") if part.strip())


def _scenes(material: Material) -> tuple[Scene, ...]:
    rows = highlights(material)
    by_number: dict[int, list[Highlight]] = {}
    for row in rows:
        by_number.setdefault(row.number, []).append(row)
    cut_of: dict[int, list[Cut]] = {}
    for cut in cuts(material, rows):
        if cut.frames is not None:
            cut_of.setdefault(cut.row.number, []).append(cut)
    return tuple(
        _scene(number, pieces, tuple(cut_of.get(number, ())), _said(material, pieces))
        for number, pieces in by_number.items()
    )


def _said(material: Material, pieces: list[Highlight]) -> str:
    """Gaits and reins of a passage, in the order in which they came: 'Trot 3 s, lope 4.3 s; left rein'."""
    shown = Spans(Span(piece.start_ns, piece.end_ns) for piece in pieces if piece.end_ns > piece.start_ns)
    times: dict[str, dict[str, int]] = {GAIT: {}, REIN: {}}
    for tag in sorted(material.tags, key=in_order):
        group = group_of(material.sheet, tag)
        if group in times and tag.is_state:
            length_ns = (Spans([tag.span]) & shown).length_ns
            if length_ns:
                found = times[group]
                title = title_of(material.sheet, tag)
                found[title] = found.get(title, 0) + length_ns
    gaits = ", ".join(f"{title} {duration_text(ns)}" for title, ns in times[GAIT].items())
    return capital("; ".join(part for part in (gaits, ", then ".join(times[REIN])) if part))


def _scene(number: int, pieces: list[Highlight], found: tuple[Cut, ...], said: str) -> Scene:
    start_ns = min(piece.start_ns for piece in pieces)
    end_ns = max(piece.end_ns for piece in pieces)
    length = duration_text(sum(piece.length_ns for piece in pieces))
    when = f"At {clock_text(start_ns, decimals=0)}, {length}"
    plays = sum((cut.length for cut in found), Fraction(0))
    slowness = round_half_up(plays * NS_PER_S / max(1, sum(piece.length_ns for piece in pieces)))
    if found and slowness > 1:
        when += f"; in slow motion, {slowness} times slower"
    return Scene(number, pieces[0].caption, when, said, Span(start_ns, max(end_ns, start_ns + 1)), found)
