"""Days as a person reads and writes them."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.days import day_text, read_day, short_day_text, to_come, weekday_text

TODAY = date(2026, 5, 4)


def test_a_day_reads_the_same_everywhere() -> None:
    assert (day_text(TODAY), short_day_text(date(2026, 9, 28)), weekday_text(TODAY)) == (
        *("4 May 2026", "28 Sep"),
        "Monday 4 May 2026",
    )


@given(st.dates(min_value=date(1000, 1, 1)))
def test_what_is_told_is_read_again(day: date) -> None:
    assert read_day(day_text(day)) == day


@pytest.mark.parametrize("text", ["4 may 2026", " 4  May 2026", "4 May. 2026", "4. May 2026", "04 MAY 2026"])
def test_a_day_may_be_written_as_people_write(text: str) -> None:
    assert read_day(text) == TODAY


@pytest.mark.parametrize("text", ["", "4 May", "31 June 2026", "4 ma 2026", "4 mayo 2026", "May 4 2026"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="day"):
        read_day(text)


def test_a_month_that_could_be_two_is_refused() -> None:
    with pytest.raises(ValueError, match="day"):
        read_day("4 Ju 2026")
    assert read_day("4 Jun 2026") == date(2026, 6, 4)


def test_a_day_to_come_is_told_with_today() -> None:
    assert to_come(date(2027, 5, 4), TODAY) == "4 May 2027 is still to come: today is 4 May 2026."
    told = to_come(date(2027, 5, 4), TODAY, date.isoformat)
    assert told == "2027-05-04 is still to come: today is 2026-05-04."


def test_today_and_every_day_before_it_are_right() -> None:
    assert to_come(TODAY, TODAY) == ""
    assert to_come(date(1999, 1, 1), TODAY) == ""
