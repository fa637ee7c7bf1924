from __future__ import annotations

import pytest

from annotate.behaviours import default_sheet
from annotate.clock import Span
from annotate.deliver.wording import capital, reaction_words, said_in, time_words
from annotate.tags import Tag

SHEET = default_sheet()
S = 1_000_000_000


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 s"),
        (0.4, "0.4 s"),
        (0.05, "0.1 s"),
        (9.94, "9.9 s"),
        (9.96, "10 s"),
        (12.5, "13 s"),
        (119.4, "119 s"),
        (119.5, "2 min"),
        (125, "2 min 5 s"),
        (3600, "60 min"),
    ],
)
def test_time_is_said_as_people_say_it(seconds: float, words: str) -> None:
    assert time_words(round(seconds * S)) == words


@pytest.mark.parametrize(
    ("tag", "words"),
    [
        (Tag("spook", 0), "spook"),
        (Tag("spook", 0, severity=3, stimulus="flag"), "spook at the flag, severity 3"),
        (Tag("buck", 0, severity=2, stimulus="front_cinch"), "buck at the front cinch, severity 2"),
        (Tag("shy", 0, stimulus="flag", side="left"), "shy at the flag on the left"),
        (Tag("kick_out", 0, severity=1, stimulus="other"), "kick out, severity 1"),
    ],
)
def test_a_reaction_is_said_in_plain_words(tag: Tag, words: str) -> None:
    assert reaction_words(SHEET, tag) == words


def test_a_capital_letter_changes_only_the_first() -> None:
    assert (capital("spook at the flag"), capital("")) == ("Spook at the flag", "")


def test_what_the_tags_say_in_a_stretch_is_states_by_length_and_events_by_time() -> None:
    tags = [
        Tag("spook", 65 * S, severity=3, stimulus="flag", note="my own business"),
        Tag("calm", 77 * S),
        Tag("walk", 0, 70 * S),
        Tag("trot", 70 * S, 100 * S),
        Tag("left_rein", 0, 100 * S),
        Tag("amble", 0, 100 * S),
        Tag("buck", 80 * S),
    ]
    assert said_in(SHEET, tags, Span(60 * S, 80 * S)) == (
        "walk 10 s; trot 10 s; left rein 20 s; spook at the flag, severity 3 at 1:05.0; calm at 1:17.0"
    )


def test_where_nothing_is_tagged_nothing_is_said() -> None:
    assert said_in(SHEET, [], Span(0, S)) == ""
