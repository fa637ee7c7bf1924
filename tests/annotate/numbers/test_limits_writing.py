"""The limits' text is changed and the trainer's words in it stay."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.numbers.limits import NO_LIMITS, Limits, limit_names, limits_text, limits_to_begin_with, read_limits
from annotate.numbers.limits_writing import with_limits

GAITS = ("walk", "trot", "lope")
OWN = """\
# Ours, agreed with the vet in spring.
[minutes]
moving = 20   # until he is four
# left = 8
fast = 5.0

# On soft ground only.
[metres]
moving = 2500

[quiet]
in_a_row = 3  # as the book says
"""


def test_only_what_changed_is_written() -> None:
    limits = read_limits(OWN, GAITS)
    changed = replace(limits, minutes={"moving": 15.5, "fast": 5.0})
    assert with_limits(OWN, changed, GAITS) == OWN.replace("moving = 20 ", "moving = 15.5 ")


def test_what_is_no_longer_set_stays_as_a_comment() -> None:
    limits = replace(read_limits(OWN, GAITS), minutes={"fast": 5.0})
    assert with_limits(OWN, limits, GAITS) == OWN.replace("moving = 20 ", "# moving = 20 ")


def test_a_limit_takes_the_place_of_its_comment() -> None:
    limits = replace(read_limits(OWN, GAITS), minutes={"moving": 20.0, "left": 7.5, "fast": 5.0})
    assert with_limits(OWN, limits, GAITS) == OWN.replace("# left = 8", "left = 7.5")


def test_a_new_limit_ends_its_part() -> None:
    limits = replace(read_limits(OWN, GAITS), metres={"moving": 2500.0, "trot": 800.0}, severity=1)
    written = OWN.replace("moving = 2500\n", "moving = 2500\ntrot = 800\n").replace(
        "in_a_row = 3  # as the book says\n", "in_a_row = 3  # as the book says\nseverity = 1\n"
    )
    assert with_limits(OWN, limits, GAITS) == written


def test_a_part_that_is_missing_is_added() -> None:
    written = with_limits("# mine\n", Limits(metres={"moving": 900.0}), GAITS)
    assert written == "# mine\n\n[metres]\nmoving = 900\n"


def test_a_text_written_in_a_way_of_its_own_keeps_its_words() -> None:
    text = "# mine\nminutes = {moving = 20, fast = 5}\n"
    written = with_limits(text, Limits({"moving": 12.0}), GAITS)
    assert written.startswith("# mine\n")
    assert read_limits(written, GAITS) == Limits({"moving": 12.0})


def test_nothing_is_written_where_nothing_changed() -> None:
    assert with_limits(OWN, read_limits(OWN, GAITS), GAITS) == OWN


AMOUNTS = st.dictionaries(
    st.sampled_from(limit_names(GAITS)), st.integers(1, 10**6).map(lambda n: n / 1000), max_size=6
)
LIMITS = st.builds(Limits, AMOUNTS, AMOUNTS, st.integers(1, 100), st.integers(0, 4))


@pytest.mark.parametrize("begun", [OWN, limits_text(limits_to_begin_with()), limits_text(NO_LIMITS), ""])
@given(first=LIMITS, second=LIMITS)
def test_what_is_written_reads_as_the_limits(begun: str, first: Limits, second: Limits) -> None:
    text = begun
    for limits in (first, second, first):
        text = with_limits(text, limits, GAITS)
        assert read_limits(text, GAITS) == limits
        for words in ("agreed with the vet", "On soft ground only"):
            assert (words in text) == (words in begun)
