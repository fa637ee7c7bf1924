from __future__ import annotations

from app.counted import counted


def test_one_is_told_alone_and_thousands_are_grouped() -> None:
    assert counted(1, "tag") == "1 tag"
    assert counted(0, "tag") == "0 tags"
    assert counted(2_000_000, "tag") == "2\N{THIN SPACE}000\N{THIN SPACE}000 tags"
    assert counted(2, "thing is", "things are") == "2 things are"
