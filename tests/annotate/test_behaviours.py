from __future__ import annotations

import pytest

from annotate.behaviours import (
    GAIT,
    REACTION,
    STIMULUS,
    TURN_IN,
    TURN_OUT,
    default_sheet,
    read_sheet,
    stimulus_of,
    stimulus_words,
)
from annotate.errors import SheetTrouble

SHEET = default_sheet()

SMALL = """
[groups]
gait = { title = "Gait" }
stimulus = { side_by_side = true }
[behaviours]
walk = { group = "gait", kind = "state", key = "W" }
trot = { group = "gait", kind = "state", key = "Shift+W" }
spook = { group = "gait", kind = "event" }
flag_on = { group = "stimulus", kind = "state" }
bag_on = { group = "stimulus", kind = "state" }
"""


def test_the_trades_sheet_has_the_gaits_in_order_of_speed() -> None:
    assert [b.name for b in SHEET.of_group(GAIT)] == ["stand", "walk", "trot", "lope", "gallop", "back"]


def test_every_behaviour_of_the_trades_sheet_has_a_key_and_a_rule() -> None:
    assert all(b.key and b.rule for b in SHEET.behaviours)
    assert len(SHEET.by_key) == len(SHEET.behaviours)


def test_no_key_of_the_trades_sheet_is_a_severity() -> None:
    assert SHEET.by_key.keys().isdisjoint("1234")


def test_every_ask_of_the_trades_sheet_asks_for_a_gait_or_a_turn() -> None:
    asked = {name for b in SHEET.behaviours for name in b.asks}
    assert asked <= SHEET.names(GAIT) | {TURN_IN, TURN_OUT}
    assert {"lope", "stand", TURN_IN} <= asked


def test_reactions_are_events_and_stimuli_are_states() -> None:
    assert not any(b.is_state for b in SHEET.of_group(REACTION))
    assert all(b.is_state for b in SHEET.of_group(STIMULUS))


def test_two_gaits_exclude_each_other_and_so_does_a_gait_itself() -> None:
    sheet = read_sheet(SMALL)
    assert sheet.exclude("walk", "trot")
    assert sheet.exclude("walk", "walk")


def test_states_side_by_side_exclude_only_themselves() -> None:
    sheet = read_sheet(SMALL)
    assert not sheet.exclude("flag_on", "bag_on")
    assert sheet.exclude("flag_on", "flag_on")


def test_events_and_other_groups_exclude_nothing() -> None:
    sheet = read_sheet(SMALL)
    assert not sheet.exclude("walk", "spook")
    assert not sheet.exclude("walk", "flag_on")


def test_a_title_is_the_name_in_plain_words_unless_written() -> None:
    sheet = read_sheet(SMALL)
    assert sheet["flag_on"].title == "flag on"
    assert sheet.group("gait").title == "Gait"


def test_a_blank_title_is_the_name_in_plain_words_too() -> None:
    assert read_sheet(SMALL.replace('key = "W"', 'title = " "'))["walk"].title == "walk"


def test_a_key_is_named_as_its_press_is_whatever_the_order_of_the_modifiers() -> None:
    assert read_sheet(SMALL.replace("Shift+W", "Shift+Alt+W")).by_key["Alt+Shift+W"].name == "trot"


def test_two_ways_to_write_one_key_leave_the_sheet_readable_and_the_plain_one_works() -> None:
    sheet = read_sheet(SMALL.replace('"W"', '"Shift+!"').replace('"Shift+W"', '"!"'))
    assert (sheet["walk"].key, sheet.by_key["!"].name) == ("Shift+!", "trot")


@pytest.mark.parametrize("key", ["F9", "Ctrl+E", "F4", "Shift+1", "F99"])
def test_a_key_that_cannot_work_leaves_the_sheet_readable(key: str) -> None:
    assert read_sheet(SMALL.replace('"W"', f'"{key}"'))["walk"].key == key


def test_a_name_that_is_not_on_the_sheet_is_said() -> None:
    assert "amble" not in SHEET
    with pytest.raises(SheetTrouble, match="'amble' is not on the sheet"):
        SHEET["amble"]


@pytest.mark.parametrize(
    ("name", "word"), [("flag_on", "flag"), ("saddle_shown", "saddle"), ("stirrups_shown", "stirrups")]
)
def test_the_stimulus_column_carries_the_bare_name(name: str, word: str) -> None:
    assert stimulus_of(name) == word
    assert word in stimulus_words(SHEET)


def test_the_stimulus_column_may_also_say_tack_and_other() -> None:
    words = stimulus_words(SHEET)
    assert {"front_cinch", "other"} <= set(words)
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        ("[groups]", "[groups", "cannot be read"),
        ("[groups]", "[group]", r"no \[groups\]"),
        ("[behaviours]", "[behaviour]", r"no \[behaviours\]"),
        ('key = "Shift+W"', 'key = "W"', "walk and trot share the key W"),
        ('key = "W"', 'key = "w"', "walk has the key 'w'"),
        ('key = "W"', 'key = "W W"', "walk has the key 'W W'"),
        ('key = "W"', "key = 5", "key must be text"),
        ('key = "W"', 'colour = "red"', "walk has an unknown word: colour"),
        ("walk =", "Walk =", "'Walk' must be lower-case"),
        ("walk =", "walk_ =", "'walk_' must be lower-case"),
        ('kind = "event"', 'kind = "often"', "spook must be a state or an event"),
        ('kind = "event"', "kind = []", "spook must be a state or an event"),
        ('spook = { group = "gait"', 'spook = { group = "jumps"', "group 'jumps'"),
        ("side_by_side = true", 'side_by_side = "yes"', "true or false"),
        ('title = "Gait"', 'colour = "red"', "gait has an unknown word"),
        ('{ title = "Gait" }', "3", "must be written"),
        ('spook = { group = "gait", kind = "event" }', "spook = 3", "spook must be written"),
        ('kind = "event"', 'kind = "event", asks = "trot"', "asks is a list"),
        ('kind = "event"', 'kind = "event", asks = ["amble"]', "spook asks for 'amble'"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_said(before: str, after: str, sentence: str) -> None:
    assert before in SMALL
    with pytest.raises(SheetTrouble, match=sentence):
        read_sheet(SMALL.replace(before, after, 1))
