"""The sheet's text, changed without losing what the trainer wrote beside it."""

from __future__ import annotations

import pytest

from annotate.behaviours import DEFAULT_SHEET, default_sheet, read_sheet
from annotate.errors import SheetTrouble
from annotate.sheet_text import key_clashes, with_behaviour, with_word, without_behaviour

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


def test_a_key_that_does_two_things_is_told_at_both() -> None:
    keys = {"walk": "W", "trot": "W", "lope": "Ctrl+Z", "stand": "S", "back": ""}
    assert key_clashes(keys, {"Ctrl+Z": "undo"}) == {
        "walk": "W is also: trot",
        "trot": "W is also: walk",
        "lope": "Ctrl+Z is also: undo",
    }
