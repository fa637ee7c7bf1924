"""Several sessions of one horse on one page: where it began, where it stands, and every session between.

One HTML file that needs nothing beside it. Figures stand side by side; nothing is judged beyond the tags.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from markupsafe import Markup

from annotate.days import day_text
from annotate.deliver.highlights import Material
from annotate.deliver.page.choice import Work
from annotate.deliver.page.content import CAUTIONS, ONE_SESSION_EACH, Day, day_of
from annotate.deliver.page.drawing import svg
from annotate.deliver.page.figures import Row, reaction_rows, work_rows
from annotate.deliver.page.line_drawing import NARROW, WIDE, draw_line, small
from annotate.deliver.page.markup import filled
from annotate.deliver.page.severity_drawing import draw_severities
from annotate.deliver.wording import capital
from annotate.errors import Trouble
from annotate.numbers.habituation import history, stimuli

_BESIDE_A_LINE = frozenset(
    {"In view", "Moving", "Left and right", "Reactions", "The hardest", "Half were calm after"}
)


def series(material: Material) -> str:
    """The page over the sessions of `material.series`, or over its own session where there are none.

    A session in which nothing is tagged is left out, for it would look like one in which nothing happened.
    Raises `Trouble` where one of them is another horse's.
    """
    if any(work.session.horse != material.session.horse for work in material.series):
        raise Trouble("A report over several sessions is about one horse.")
    works = [work for work in material.series if work.tags] or [Work(material.session, material.tags)]
    ordered = sorted(works, key=lambda work: (work.session.day, work.session.number, work.session.id))
    days = [day_of(work, material.sheet) for work in ordered]
    ends = days if len(days) == 1 else [days[0], days[-1]]
    numbers = [day.numbers for day in ends]
    first, last = ordered[0].session.day, ordered[-1].session.day
    return filled(
        "series.html.j2",
        {
            "horse": material.session.horse,
            "period": day_text(first) if first == last else f"{day_text(first)} to {day_text(last)}",
            "heads": [day.title for day in ends],
            "rows": [*work_rows(*numbers), *reaction_rows(*numbers)],
            "stimuli": list(_stimuli(days)),
            "days": list(_each(material, days)),
            "lines": (ONE_SESSION_EACH, *CAUTIONS) if len(days) > 1 else CAUTIONS,
            "signed": material.choice.signed,
        },
    )


def _each(material: Material, days: list[Day]) -> Iterator[Mapping[str, object]]:
    until_ns = max(day.line.end_ns for day in days)
    for place, day in enumerate(days):
        title = f"Work line of {material.session.horse}, {day.title}"
        drawn = {
            kind: Markup(
                svg(
                    draw_line(day.line, material.sheet, small(until_ns, width), title),
                    f"line-{place}-{kind}",
                    kind,
                )
            )
            for kind, width in (("wide", WIDE), ("narrow", NARROW))
        }
        yield {"caption": day.title, "facts": list(_facts(day)), **drawn}


def _facts(day: Day) -> Iterator[Mapping[str, object]]:
    rows: list[Row] = [*work_rows(day.numbers), *reaction_rows(day.numbers)]
    for row in rows:
        if row.title in _BESIDE_A_LINE and row.cells[0].figure:
            yield {"title": row.title, "cell": row.cells[0]}


def _stimuli(days: list[Day]) -> Iterator[Mapping[str, object]]:
    every = [day.numbers for day in days]
    for place, name in enumerate(stimuli(every)):
        past = history(every, name)
        title = capital(name.replace("_", " "))
        words = f"Exposures: {title}"
        drawn = {
            kind: Markup(svg(draw_severities(past, words, width), f"shown-{place}-{kind}", kind))
            for kind, width in (("wide", WIDE), ("narrow", NARROW))
        }
        yield {"caption": title, **drawn}
