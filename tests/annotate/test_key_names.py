"""How keys are written, and which of them cannot work."""

from __future__ import annotations

import pytest

from annotate.key_names import as_pressed, key_clashes, why_never


@pytest.mark.parametrize(
    ("written", "pressed"),
    [
        ("W", "W"),
        ("Shift+Alt+W", "Alt+Shift+W"),
        ("Alt+Ctrl+F5", "Ctrl+Alt+F5"),
        ("Shift+Shift+Q", "Shift+Q"),
        ("Shift+!", "!"),
        ("Shift++", "+"),
        ("+", "+"),
        ("Shift+1", "Shift+1"),
        ("ä", "Ä"),
        ("", ""),
    ],
)
def test_a_key_is_named_as_its_press_is(written: str, pressed: str) -> None:
    assert as_pressed(written) == pressed


def test_shift_and_a_digit_and_an_f_key_that_no_keyboard_has_are_never_pressed() -> None:
    assert all(why_never(key) for key in ("Shift+1", "Ctrl+Shift+0", "F0", "F99"))
    assert not any(why_never(key) for key in ("1", "Alt+1", "Shift+Q", "F12", "!", "", "trot along"))


def test_a_key_that_does_two_things_is_told_at_both() -> None:
    keys = {"walk": "W", "trot": "W", "lope": "Ctrl+Z", "stand": "S", "back": ""}
    assert key_clashes(keys, {"Ctrl+Z": "undo"}) == {
        "walk": "W is also: trot",
        "trot": "W is also: walk",
        "lope": "Ctrl+Z is also: undo",
    }


def test_two_ways_to_write_one_key_clash() -> None:
    assert key_clashes({"walk": "Shift+!", "trot": "!"}, {}) == {"walk": "! is also: trot", "trot": "! is also: walk"}


def test_a_key_that_is_never_pressed_is_told() -> None:
    assert key_clashes({"walk": "Shift+1"}, {}) == {
        "walk": "Shift+1 cannot be pressed: on most keyboards Shift makes another sign of it"
    }
