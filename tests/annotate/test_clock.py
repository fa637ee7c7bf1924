from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import (
    NS_PER_S,
    Span,
    clock_text,
    ns_to_ticks,
    parse_seconds,
    round_half_up,
    seconds,
    seconds_text,
    shown,
    ticks_to_ns,
)
from annotate.errors import Trouble

TIME_BASES = [Fraction(1, n) for n in (90000, 15360, 1000, 3)] + [Fraction(1001, 30000)]


@given(st.integers(-(10**9), 10**9), st.sampled_from(TIME_BASES))
def test_a_tick_comes_back_from_nanoseconds(pts: int, time_base: Fraction) -> None:
    assert ns_to_ticks(ticks_to_ns(pts, time_base), time_base) == pts


@given(st.integers(-(10**15), 10**15), st.sampled_from(TIME_BASES))
def test_a_tick_is_never_more_than_half_a_nanosecond_off(pts: int, time_base: Fraction) -> None:
    assert abs(ticks_to_ns(pts, time_base) - pts * time_base * NS_PER_S) <= Fraction(1, 2)


@pytest.mark.parametrize(("value", "whole"), [("1/2", 1), ("-1/2", 0), ("3/2", 2), ("-3/2", -1), ("5/3", 2)])
def test_a_half_goes_up(value: str, whole: int) -> None:
    assert round_half_up(Fraction(value)) == whole


@given(st.fractions(), st.integers(-(10**12), 10**12))
def test_shifting_never_changes_a_rounding(value: Fraction, shift: int) -> None:
    assert round_half_up(value + shift) == round_half_up(value) + shift


@pytest.mark.parametrize(
    ("ns", "text"),
    [
        (0, "0"),
        (1, "0.000000001"),
        (12_500_000_000, "12.5"),
        (59_994_939_394, "59.994939394"),
        (10 * NS_PER_S, "10"),
        (-1, "-0.000000001"),
        (86_400 * NS_PER_S, "86400"),
    ],
)
def test_seconds_are_written_exactly_and_without_an_exponent(ns: int, text: str) -> None:
    assert seconds_text(ns) == text
    assert seconds(ns) == float(text)


@given(st.integers(-(10**18), 10**18))
def test_seconds_come_back_from_their_text(ns: int) -> None:
    assert parse_seconds(seconds_text(ns)) == ns
    assert Decimal(seconds_text(ns)) * NS_PER_S == ns


@pytest.mark.parametrize(
    ("text", "ns"),
    [
        (" 12.5 ", 12_500_000_000),
        ("1.5000000000000", 1_500_000_000),
        ("+.5", 500_000_000),
        ("5.", 5 * NS_PER_S),
        ("1E-3", 1_000_000),
        ("1.2e+03", 1200 * NS_PER_S),
        ("-0", 0),
    ],
)
def test_seconds_as_a_person_or_a_spreadsheet_writes_them_are_read(text: str, ns: int) -> None:
    assert parse_seconds(text) == ns


@pytest.mark.parametrize(
    "text",
    ["", "walk", "12,5", "nan", "inf", "-Infinity", "1_000", "１２", "0x10", "1/2", "1 2", "--1", "1e", "."],
)
def test_what_is_not_a_plain_number_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not a number of seconds"):
        parse_seconds(text)


@pytest.mark.parametrize("text", ["0.0000000001", "1e-10", "1.0000000000000000000000000001", "1e-99"])
def test_what_is_finer_than_a_nanosecond_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="more than nine decimals"):
        parse_seconds(text)


@pytest.mark.parametrize("text", ["1e10", "-1000000001", "1e999999999", "9" * 5000])
def test_what_no_session_can_have_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not a number of seconds"):
        parse_seconds(text)


@pytest.mark.parametrize(
    ("ns", "decimals", "text"),
    [
        (65_399_999_999, 1, "1:05.3"),
        (3_725_300_000_000, 1, "1:02:05.3"),
        (59_999_999_999, 0, "0:59"),
        (59_999_999_999, 3, "0:59.999"),
        (0, 1, "0:00.0"),
        (-1_500_000_000, 1, "-0:01.5"),
    ],
)
def test_the_clock_is_cut_and_never_runs_ahead(ns: int, decimals: int, text: str) -> None:
    assert clock_text(ns, decimals=decimals) == text


def test_what_is_shown_is_short_and_in_one_line() -> None:
    assert shown("a\nb") == "'a\N{REPLACEMENT CHARACTER}b'"
    assert shown("x" * 41) == f"'{'x' * 39}…'"
    assert shown("x" * 40) == f"'{'x' * 40}'"


def test_a_span_holds_its_start_and_not_its_end() -> None:
    span = Span(10, 20)
    assert (span.holds(10), span.holds(19), span.holds(20), span.holds(9)) == (True, True, False, False)


def test_spans_that_touch_do_not_overlap() -> None:
    assert not Span(10, 20).overlaps(Span(20, 30))
    assert Span(10, 21).overlaps(Span(20, 30))
    assert Span(10, 20).length_ns == 10


@pytest.mark.parametrize("end", [10, 9])
def test_a_span_ends_after_it_starts(end: int) -> None:
    with pytest.raises(Trouble, match="must end after it starts"):
        Span(10, end)
