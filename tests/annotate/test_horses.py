from __future__ import annotations

import pytest

from annotate.horses import same_name


@pytest.mark.parametrize(
    ("one", "other"),
    [("Juniper", "JUNIPER"), ("Ökonom", "ökonom"), ("Straße", "STRASSE"), ("Éclair", "e\u0301clair")],
)
def test_spellings_of_one_name_are_equal(one: str, other: str) -> None:
    assert same_name(one) == same_name(other)


def test_different_names_stay_different() -> None:
    assert same_name("Juniper") != same_name("Jumper")
