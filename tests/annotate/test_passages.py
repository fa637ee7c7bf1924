from __future__ import annotations

import pytest

from annotate.clock import Span
from annotate.errors import Trouble
from annotate.passages import Passage


def test_a_passage_has_a_span() -> None:
    assert Passage(5, 9).span == Span(5, 9)


def test_a_passage_that_ends_before_it_starts_has_none() -> None:
    with pytest.raises(Trouble, match="must end after it starts"):
        _ = Passage(9, 5).span


def test_two_passages_are_equal_by_what_they_say_and_told_apart_by_their_id() -> None:
    assert Passage(5, 9, "lope") == Passage(5, 9, "lope")
    assert Passage(5, 9).id != Passage(5, 9).id
