"""Several sessions on one page: in order of time, on one scale, with no verdict."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser

from annotate.deliver.page.choice import Work
from annotate.deliver.series import series
from tests.annotate.deliver.page.made import WORKED, material, session
from tests.annotate.tagged import event, state

DAYS = (date(2026, 5, 27), date(2026, 5, 4), date(2026, 5, 18))
FLAG = (
    *WORKED,
    state("flag_on", 95, 120),
    state("flag_on", 400, 410),
    event("snort", 401),
)


class Text(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.feed(text)

    def handle_data(self, data: str) -> None:
        self.parts.append(data)


def said(*works: Work) -> str:
    return " ".join(" ".join(Text(series(material(series=works))).parts).split())


def on(day: date, number: int, tags: tuple = WORKED) -> Work:
    return Work(session(number, day), tags)


def test_it_goes_from_where_it_began_to_where_it_stands() -> None:
    words = said(*(on(day, n) for n, day in enumerate(DAYS, 1)))
    assert "3 sessions, 4 May 2026 to 27 May 2026" in words
    assert "Where it began, where it stands 4 May 2026 27 May 2026 In view" in words
    blocks = [words.index(f"Work line of Bramble, {day}") for day in ("4 May", "18 May", "27 May")]
    assert blocks == sorted(blocks)


def test_each_session_has_its_own_figures() -> None:
    page = series(material(series=tuple(on(day, n) for n, day in enumerate(DAYS, 1))))
    assert page.count('<dl class="facts">') == 3
    assert page.count("6 in 9 min") == 5


def test_all_work_lines_have_one_scale() -> None:
    short = Work(replace(session(2, DAYS[1]), length_ns=session().length_ns // 2), (state("walk", 0, 60),))
    page = series(material(series=(on(DAYS[0], 1), short)))
    drawn = re.findall(r'<svg[^>]*class="wide".*?</svg>', page, re.S)
    ends = [max(float(x) for x in re.findall(r"[ML ](\d+\.?\d*),", one)) for one in drawn]
    assert abs((ends[0] - 74) * 2 - (ends[1] - 74)) < 20


def test_exposures_are_shown_over_all_days() -> None:
    words = said(on(DAYS[0], 1, FLAG), on(DAYS[1], 2, FLAG))
    assert "From exposure to exposure Flag" in words
    assert "4 May 2026: 1; 4 May 2026: 2; 27 May 2026: 1; 27 May 2026: 2." in words


def test_one_session_alone_and_none_at_all_make_a_page() -> None:
    assert "1 session, 4 May 2026" in said(on(DAYS[1], 1))
    assert "1 session, 25 May 2026" in said()


def test_nothing_is_judged() -> None:
    words = said(*(on(day, n) for n, day in enumerate(DAYS, 1))).lower()
    assert not re.search(r"improv|better|worse|progress|ready|good|significan|p-value", words)


def test_a_session_in_which_nothing_is_tagged_is_left_out() -> None:
    untagged = on(date(2026, 6, 1), 3, ())
    words = said(on(DAYS[1], 1), on(DAYS[0], 2), untagged)
    assert "2 sessions, 4 May 2026 to 27 May 2026" in words
    assert "June" not in words
    assert "1 session, 25 May 2026" in said(untagged)
