from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from store.thinning import is_due, kept

NOW = datetime(2026, 5, 4, 18, 30, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)

moments = st.lists(
    st.datetimes(datetime(2024, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)), max_size=40
)


def test_of_one_hour_the_newest_stays() -> None:
    times = [NOW - timedelta(minutes=minutes) for minutes in (200, 29, 25, 5)]
    assert kept(times, NOW) == {times[0], times[3]}


def test_a_year_of_hourly_backups_becomes_hours_days_weeks_and_months() -> None:
    times = [NOW - n * HOUR for n in range(365 * 24)]
    stay = kept(times, NOW)
    ages = [NOW - moment for moment in stay]
    assert sum(age < DAY for age in ages) == 24
    assert 13 <= sum(DAY <= age < 14 * DAY for age in ages) <= 14
    assert 8 <= sum(14 * DAY <= age < 70 * DAY for age in ages) <= 9
    assert 10 <= sum(age >= 70 * DAY for age in ages) <= 12
    assert {times[0], times[-1]} <= stay


def test_backups_of_the_future_stay_and_do_not_stop_new_ones() -> None:
    ahead = [NOW + DAY, NOW + DAY + timedelta(minutes=1)]
    assert kept([*ahead, NOW], NOW) == {*ahead, NOW}
    assert is_due(ahead, NOW)


def test_a_backup_is_due_an_hour_after_the_last() -> None:
    assert is_due([], NOW)
    assert not is_due([NOW - timedelta(minutes=59)], NOW)
    assert is_due([NOW - HOUR], NOW)


@given(moments)
def test_thinning_twice_takes_nothing_more(times: list[datetime]) -> None:
    once = kept(times, NOW)
    assert once <= set(times)
    assert kept(once, NOW) == once


@given(moments)
def test_the_newest_and_the_oldest_always_stay(times: list[datetime]) -> None:
    stay = kept(times, NOW)
    assert not times or {min(times), max(times)} <= stay


@given(moments)
def test_a_backup_that_goes_leaves_another_within_its_month(times: list[datetime]) -> None:
    stay = sorted(kept(times, NOW))
    for moment in times:
        assert min(abs(moment - one) for one in stay) < 31 * DAY
