"""What the window makes ahead of its being asked for."""

from __future__ import annotations

from functools import cached_property

from app.made_ahead import is_made, make_next


class Page:
    @cached_property
    def desk(self) -> str:
        return "desk"


class Window:
    @cached_property
    def page(self) -> Page:
        return Page()


def test_one_thing_is_made_at_a_time_a_part_after_what_it_belongs_to() -> None:
    window, names = Window(), ("page", "page.desk")
    assert not is_made(window, "page")
    assert make_next(window, names)
    assert is_made(window, "page")
    assert not is_made(window, "page.desk")
    assert make_next(window, names)
    assert is_made(window, "page.desk")
    assert not make_next(window, names)


def test_what_was_asked_for_meanwhile_is_not_made_again() -> None:
    window = Window()
    page = window.page
    assert make_next(window, ("page", "page.desk"))
    assert window.page is page
    assert is_made(window, "page.desk")
