"""How many of something is told in words."""

from app.counted import Counted


def tags(count: int) -> str:
    return Counted.tr("{count} tag|{count} tags", "", count)


def test_one_and_many_are_told_apart_and_thousands_are_grouped() -> None:
    assert tags(1) == "1 tag"
    assert tags(0) == "0 tags"
    assert tags(2_000_000) == "2\N{THIN SPACE}000\N{THIN SPACE}000 tags"


def test_a_text_with_one_form_is_told_of_any_count_and_keeps_its_other_places() -> None:
    assert Counted.tr("{names} and {count} more", "", 1) == "{names} and 1 more"
    assert Counted.tr("{names} and {count} more", "", 5) == "{names} and 5 more"
