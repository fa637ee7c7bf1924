"""The words made from the tags, the figures, and what is kept of an arrangement."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.page.choice import PARTS, Arrangement, Choice, arrangement_text, read_arrangement
from annotate.deliver.page.content import paragraphs
from annotate.deliver.page.figures import reaction_rows, work_rows
from annotate.deliver.page.story import story
from annotate.numbers.session_numbers import session_numbers
from tests.annotate.deliver.page.made import WORKED, earlier, session
from tests.annotate.tagged import SHEET, event, state

NUMBERS = session_numbers(session(), WORKED, SHEET)


def told(*tags: object) -> str:
    made = tuple(tags)
    return story(session_numbers(session(), made, SHEET), made)  # type: ignore[arg-type]


def test_the_worked_session_in_plain_words() -> None:
    assert story(NUMBERS, WORKED).split("\n\n") == [
        "On 25 May 2026 Bramble was in view for 9 min and moving for 8 min of it. "
        "That was walk 3 min 30 s, trot 3 min 30 s and lope 1 min. "
        "The left rein had 56 % of the work, the right rein 44 %.",
        "There were 6 reactions. The hardest was a spook, severity 4, not seen to settle in 1 min 40 s. "
        "Half of them were over within 15 s.",
    ]


def test_what_was_shown_and_worn_is_told_with_its_side() -> None:
    words = told(
        state("walk", 0, 600),
        state("surcingle", 0, 600),
        state("flag_on", 10, 20, side="left"),
        state("flag_on", 30, 40, side="right"),
        state("flag_on", 50, 60, side="right"),
        state("saddle_shown", 70, 80),
        event("spook", 12, severity=2, stimulus="flag"),
        event("calm", 20),
    )
    assert "Bramble wore the surcingle." in words
    assert "The flag was shown three times, once on the left and twice on the right." in words
    assert "Two of them passed without a reaction." in words
    assert "The saddle was shown once. It passed without a reaction." in words
    assert "There was 1 reaction. It was a spook at the flag, severity 2, calm after 8 s." in words


def test_a_quiet_session_praises_nothing() -> None:
    assert told(state("walk", 0, 600)).endswith("\n\nNo reaction was tagged.")
    assert told() == "On 25 May 2026 Bramble was filmed for 10 min.\n\nNo reaction was tagged."


def test_the_earlier_session_is_told_by_its_day() -> None:
    then = session_numbers(earlier().session, WORKED, SHEET)
    assert story(NUMBERS, WORKED, then).endswith(
        "On 4 May 2026, in 9 min in view, there were 6 reactions, and half of them were over within 15 s."
    )


def test_figures_stand_with_how_far_they_can_be_trusted() -> None:
    quiet = session_numbers(session(), (state("walk", 0, 600),), SHEET)
    rows = {row.title: row.cells for row in reaction_rows(quiet, NUMBERS)}
    assert [cell.figure for cell in rows["Reactions"]] == ["0 in 10 min", "6 in 9 min"]
    assert rows["Reactions"][0].note == "0.00 a minute; too few to say more"
    assert rows["Reactions"][1].note.endswith("could be as low as 0.24 or as high as 1.45 a minute")
    assert rows["Half were calm after"][1].note == "of 6 reactions; 2 could not be watched until calm"
    assert rows["The longest took"][1].figure == "more than 1 min 40 s"
    work = {row.title: [cell.figure for cell in row.cells] for row in work_rows(quiet, NUMBERS)}
    assert work["Left and right"] == ["not known", "56 % left, 44 % right"]
    assert work["Lope"] == ["none", "1 min"]


def test_an_empty_line_parts_paragraphs() -> None:
    assert paragraphs("a\nb\r\n\r\n\n c \n\n\n") == ("a\nb", " c ")


@given(
    st.text(),
    st.none() | st.text(),
    st.frozensets(st.sampled_from(sorted(PARTS))),
    st.none() | st.integers(0),
)
def test_an_arrangement_is_kept_as_it_was(
    text: str, words: str | None, parts: frozenset[str], fit: int | None
) -> None:
    choice = Choice(parts, text, words, text, text)
    files = {"merge": True, "captions": True, "work_line": True, "kinds": frozenset({"reel"})}
    arrangement = Arrangement(choice, frozenset({1 << 61}), 1, 2, fit, 3, **files)  # type: ignore[arg-type]
    assert read_arrangement(arrangement_text(arrangement)) == arrangement


def test_an_arrangement_of_an_older_version_is_read_with_the_usual_files() -> None:
    kept = json.loads(arrangement_text(Arrangement(lead_in_ns=7, merge=True)))
    for newer in ("merge", "captions", "work_line", "kinds"):
        del kept[newer]
    assert read_arrangement(json.dumps(kept)) == Arrangement(lead_in_ns=7)


@pytest.mark.parametrize("text", [None, "", "{}", "[]", "3", '{"parts": 3}'])
def test_what_cannot_be_read_is_as_if_nothing_was_kept(text: str | None) -> None:
    assert read_arrangement(text) is None
