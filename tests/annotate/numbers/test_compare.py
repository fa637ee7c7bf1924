from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

from annotate.numbers.compare import COLUMNS, compare, compare_json, compare_table
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, numbers_of

SECOND = replace(numbers_of(WORKED, *WORKED_TAGS), session_id=2, number=2)
FIRST = numbers_of(WORKED, *WORKED_TAGS)
EMPTY = replace(numbers_of(WORKED), session_id=3, day=date(2026, 4, 30))


def test_sessions_stand_by_day_and_number() -> None:
    titles = [row.title for row in compare([SECOND, FIRST, EMPTY])]
    assert titles == ["2026-04-30", "2026-05-01", "2026-05-01/2"]


def test_each_row_has_a_cell_per_column() -> None:
    assert all(tuple(cell.key for cell in row.cells) == COLUMNS for row in compare([FIRST, EMPTY]))


def test_a_table_for_the_terminal() -> None:
    assert compare_table(compare([FIRST, EMPTY])) == [
        "Day         In sight  Left moving  Right moving  Balance    Reactions         Half settled",
        "2026-04-30  10 min    0 s          0 s           not known  0, 0.00 a minute  not known",
        "2026-05-01  9 min     4 min 30 s   3 min 30 s    +0.125     6, 0.67 a minute  15 s",
    ]


def test_the_json_has_the_interval_and_the_reasons() -> None:
    earlier, later = compare_json([FIRST, EMPTY])["sessions"]
    assert later["reactions"]["per_min_95"] == list(FIRST.reactions.seen.per_min_95 or ())
    assert later["reasons"] == {}
    assert set(earlier["reasons"]) == {"rein.balance", "recovery.median_s"}
    json.dumps([earlier, later], allow_nan=False)
