"""The sheet's text, changed without losing what the trainer wrote beside it."""

from __future__ import annotations

import pytest

from annotate.behaviours import DEFAULT_SHEET, default_sheet, read_sheet
from annotate.errors import SheetTrouble
from annotate.sheet_text import name_for, with_behaviour, with_word, without_behaviour

TEXT = '''# my own sheet
[groups]
gait = { title = "Gait" }

[behaviours]
# slow
walk = { group = "gait", kind = "state", key = "W", rule = "Four beats." } # as agreed
trot = { group = "gait", kind = "state", key = "T" }
'''


def test_a_key_is_changed_and_the_comments_stay() -> None:
    changed = with_word(TEXT, "walk", "key", "Alt+W")
    assert changed == TEXT.replace('key = "W"', 'key = "Alt+W"')
    assert read_sheet(changed)["walk"].key == "Alt+W"


def test_an_empty_word_is_taken_out() -> None:
    assert "key" not in with_word(TEXT, "trot", "key", "").splitlines()[-1]


def test_a_word_that_was_not_there_is_put_in() -> None:
    assert read_sheet(with_word(TEXT, "trot", "title", "jog"))["trot"].title == "jog"


def test_a_behaviour_is_added_and_taken_out_again() -> None:
    longer = with_behaviour(TEXT, "piaffe", "gait", "state", key="Alt+P")
    assert read_sheet(longer)["piaffe"].key == "Alt+P"
    assert read_sheet(without_behaviour(longer, "piaffe")) == read_sheet(TEXT)


def test_a_name_in_use_and_an_unknown_name_are_refused() -> None:
    with pytest.raises(SheetTrouble, match="already"):
        with_behaviour(TEXT, "walk", "gait", "state")
    for change in (lambda: with_word(TEXT, "lope", "key", "L"), lambda: without_behaviour(TEXT, "lope")):
        with pytest.raises(SheetTrouble, match="not on the sheet"):
            change()


def test_setting_what_is_there_changes_nothing_of_the_whole_sheet() -> None:
    text = DEFAULT_SHEET.read_text(encoding="utf-8")
    for behaviour in default_sheet().behaviours:
        text = with_word(text, behaviour.name, "key", behaviour.key)
    assert text == DEFAULT_SHEET.read_text(encoding="utf-8")


def test_what_is_taken_out_is_asked_for_no_more() -> None:
    text = TEXT.replace("[behaviours]", """ask = { title = "Ask" }

[behaviours]
cluck = { group = "ask", kind = "event", asks = ["trot", "walk"] }
kiss = { group = "ask", kind = "event", asks = ["walk"] }""")
    sheet = read_sheet(without_behaviour(text, "walk"))
    assert [sheet[name].asks for name in ("cluck", "kiss")] == [("trot",), ()]


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Side pass", "side_pass"),
        ("Volté", "volte"),
        ("3 gaits", "behaviour_3_gaits"),
        ("шаг", "behaviour_2"),
        ("  ", ""),
    ],
)
def test_a_title_in_any_letters_has_a_name(title: str, name: str) -> None:
    assert name_for(title, {"walk", "behaviour_1"}) == name
