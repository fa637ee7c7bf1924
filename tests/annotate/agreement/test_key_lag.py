from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.agreement.key_lag import key_lag, lag_words, without_lag
from tests.annotate.agreement.second_looks import ns

SHOWN = [ns(at_s) for at_s in range(3, 33, 3)]


def test_the_lag_is_the_median_of_the_presses() -> None:
    late = [0.20, 0.25, 0.30, 0.30, 0.30, 0.35, 0.40, 0.45, 0.50, 1.40]
    found = key_lag(SHOWN, [at + ns(by) for at, by in zip(SHOWN, late, strict=True)])
    assert found.median_ns == ns(0.325)
    assert found.middle_half_ns == (ns(0.30), ns(0.4375))
    assert (found.missed, found.stray) == (0, 0)


def test_a_moment_without_a_press_in_time_is_missed() -> None:
    found = key_lag(SHOWN, [at + ns(0.3) for at in SHOWN[1:]] + [SHOWN[0] + ns(1.6)])
    assert (len(found.late_ns), found.missed, found.stray) == (9, 1, 1)


def test_a_press_sooner_than_anybody_can_is_a_guess() -> None:
    found = key_lag([ns(3)], [ns(3.05), ns(3.3)])
    assert (found.late_ns, found.stray) == ((ns(0.3),), 1)


def test_a_press_answers_one_moment_only() -> None:
    found = key_lag([ns(3), ns(3.5)], [ns(3.7)])
    assert (found.late_ns, found.missed) == ((ns(0.2),), 1)


def test_too_few_answers_give_no_lag_and_the_reason() -> None:
    found = key_lag(SHOWN[:7], [at + ns(0.3) for at in SHOWN[:7]])
    assert (found.median_ns, found.middle_half_ns) == (None, None)
    assert found.why_not == "Only 7 moments were answered in time; it takes 8."


@pytest.mark.parametrize(
    ("speed", "seen_s"), [(Fraction(1), 9.7), (Fraction(2), 9.4), (Fraction(1, 8), 9.9625), (Fraction(0), 10)]
)
def test_the_lag_goes_by_the_speed_at_which_session_time_plays(speed: Fraction, seen_s: float) -> None:
    assert without_lag(ns(10), ns(0.3), speed) == ns(seen_s)


def test_nothing_is_taken_back_to_before_the_playing_began() -> None:
    assert without_lag(ns(10), ns(0.3), Fraction(2), earliest_ns=ns(9.9)) == ns(9.9)


@pytest.mark.parametrize(("taken_s", "words"), [(0.275, "key lag of 0.28 s taken out"), (0, "")])
def test_the_tag_says_what_was_taken_out(taken_s: float, words: str) -> None:
    assert lag_words(ns(taken_s)) == words


MOMENTS = st.lists(st.integers(0, 10**11), max_size=30)


@given(MOMENTS, MOMENTS)
def test_every_moment_and_every_press_is_accounted_for(shown: list[int], pressed: list[int]) -> None:
    found = key_lag(shown, pressed)
    assert len(found.late_ns) + found.missed == len(shown)
    assert len(found.late_ns) + found.stray == len(pressed)
    assert found.missed >= 0
    assert found.stray >= 0
