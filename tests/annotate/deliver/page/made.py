"""Sessions for the pages' tests: the worked session, sessions on made clips, and text that means harm."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from annotate.clock import NS_PER_S
from annotate.deliver.highlights import ClipFile, Material
from annotate.deliver.page.choice import Work
from annotate.media.clip import look
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from tests.annotate.deliver.test_webvtt import WICKED
from tests.annotate.tagged import SHEET, event, state

S = NS_PER_S

HOSTILE = (
    *WICKED,
    "</style><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7*7 }} {% raw %}",
)

_SPOOKS = ((100, 1), (210, 2), (250, 3), (400, 2), (430, 1), (500, 4))

WORKED = (
    state("stand", 0, 60),
    state("walk", 60, 180),
    state("trot", 180, 300),
    state("walk", 300, 330),
    state("out_of_sight", 330, 390),
    state("trot", 390, 480),
    state("lope", 480, 540),
    state("walk", 540, 600),
    state("left_rein", 60, 330),
    state("right_rein", 390, 600),
    *(event("spook", at, severity=severity) for at, severity in _SPOOKS),
    *(event("calm", at) for at in (108, 222, 265, 450)),
)


def session(number: int = 1, day: date = date(2026, 5, 25), horse: str = "Bramble") -> Session:
    return Session(number, horse, day, length_ns=600 * S)


def material(tags: tuple[Tag, ...] = WORKED, horse: str = "Bramble", **more: object) -> Material:
    passages = (Passage(205 * S, 225 * S, "Spook at trot", 0), Passage(480 * S, 540 * S, "Lope", 1))
    fields: dict[str, object] = {"passages": passages, **more}
    return Material(session(horse=horse), tags=tags, sheet=SHEET, **fields)  # type: ignore[arg-type]


def earlier(tags: tuple[Tag, ...] = WORKED, horse: str = "Bramble") -> Work:
    return Work(session(2, date(2026, 5, 4), horse), tags)


def filmed(path: Path, *passages: Passage, tags: tuple[Tag, ...] = (), horse: str = "Bramble") -> Material:
    """A session of one clip; its clock begins with the clip."""
    facts = look(path)
    placed = PlacedClip(1, 0, facts.time_base, facts.table.first_pts, facts.table.end_pts)
    files = (ClipFile(placed, str(path), facts.container_start, facts),)
    of_clip = Session(1, horse, date(2026, 5, 25), clips=(placed,))
    return Material(of_clip, passages, tags, SHEET, files)
