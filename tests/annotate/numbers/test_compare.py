from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from fractions import Fraction

from annotate.days import day_text
from annotate.numbers.compare import COLUMNS, compare, compare_table, settling_words
from annotate.numbers.compare_json import compare_json
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.session_trends import session_trends, trend_words
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, numbers_of

SECOND = replace(numbers_of(WORKED, *WORKED_TAGS), session_id=2, number=2)
FIRST = numbers_of(WORKED, *WORKED_TAGS)
EMPTY = replace(numbers_of(WORKED), session_id=3, day=date(2026, 4, 30))


def test_sessions_stand_by_day_and_number() -> None:
    titles = [row.title for row in compare([SECOND, FIRST, EMPTY])]
    assert titles == ["30 April 2026", "1 May 2026", "1 May 2026, session 2"]


def test_each_row_has_a_cell_per_column() -> None:
    assert all(tuple(cell.key for cell in row.cells) == COLUMNS for row in compare([FIRST, EMPTY]))


def test_a_table_for_the_terminal() -> None:
    table = [line.split("  ") for line in compare_table(compare([FIRST, EMPTY]))]
    told = [[cell.strip() for cell in line if cell] for line in table]
    assert told == [
        [
            "Day",
            "In sight",
            "Left moving",
            "Right moving",
            "Balance",
            "Reactions",
            "Half settled in",
            "Reactions against",
            "Not known",
        ],
        [
            *("2026-04-30", "10 min", "0 s", "0 s", "not known", "0, 0.00 a minute", "not known"),
            *("this one", "10 min no gait"),
        ],
        [
            *("2026-05-01", "9 min", "4 min 30 s", "3 min 30 s", "+0.125", "6, 0.67 a minute", "15 s"),
            *("not known", "1 min out of sight"),
        ],
    ]


def test_the_json_has_the_interval_and_the_reasons() -> None:
    earlier, later = compare_json([FIRST, EMPTY])["sessions"]
    assert later["reactions"]["per_min_95"] == list(FIRST.reactions.seen.per_min_95 or ())
    assert not [key for key in later["reasons"] if not key.startswith("sides")]
    assert "rein.balance" in earlier["reasons"]
    json.dumps([earlier, later], allow_nan=False)


def test_every_session_is_put_in_terms_of_the_chosen_one() -> None:
    more = replace(twice(FIRST), session_id=4, day=date(2026, 5, 3))
    rows = compare([FIRST, more], against=4)
    assert rows[1].ratio is None
    assert rows[0].ratio is not None
    assert rows[0].ratio.ratio == Fraction(1, 2)
    assert rows[0].cells[6].figure == "0.50 times as often"
    assert compare([FIRST, more])[1].cells[6].figure == "2.00 times as often"


def test_a_session_is_put_beside_the_one_before_of_the_same_horse() -> None:
    other = replace(FIRST, session_id=5, horse="Biscuit", day=date(2026, 5, 2))
    rows = compare([FIRST, other, replace(SECOND, day=date(2026, 5, 3))])
    assert [row.before.session_id if row.before else None for row in rows] == [None, None, 1]
    assert [row.title for row in rows][:2] == ["Juniper, 1 May 2026", "Biscuit, 2 May 2026"]


def test_recoveries_alike_are_told_as_alike_and_as_a_description() -> None:
    [_, row] = compare([FIRST, SECOND])
    assert row.numbers.recovery.against(FIRST.recovery).chi2 == 0
    words = settling_words(row.numbers, row.before)
    assert words == (
        f"settled alike as on {day_text(FIRST.day)}; chance alone can do that. This describes and proves nothing"
    )
    [_, empty] = compare([FIRST, replace(EMPTY, day=date(2026, 5, 9))])
    assert settling_words(empty.numbers, empty.before).startswith("too few recoveries")


def test_a_trend_needs_five_sessions_that_have_the_figure() -> None:
    rates = [replace(FIRST, session_id=n, day=date(2026, 5, n)) for n in range(1, 6)]
    found = session_trends(rates)["recovery.median_s"]
    assert trend_words(found) == "Time until half had settled over 5 sessions: neither falling nor rising"
    few = session_trends([*rates[:3], EMPTY, EMPTY])["recovery.median_s"]
    assert (few.trend.is_enough, few.missing) == (False, 2)
    assert trend_words(few) == "Time until half had settled: 3 of the 5 sessions that a trend needs"


def test_the_last_is_put_beside_the_first() -> None:
    told = compare_json([FIRST, replace(twice(FIRST), session_id=4, day=date(2026, 5, 3))])["last_first"]
    assert told["ratio"] == 2
    assert told["recovery"]["means"].startswith("a description")


def test_sessions_of_several_horses_have_no_trend_of_their_own() -> None:
    told = compare_json([FIRST, replace(SECOND, horse="Biscuit")], one_horse=False)
    assert set(told) == {"sessions"}


def twice(numbers: SessionNumbers) -> SessionNumbers:
    """The same with twice the reactions in the same time."""
    rate = replace(numbers.reactions.seen, count=2 * numbers.reactions.seen.count)
    return replace(numbers, reactions=replace(numbers.reactions, seen=rate))
