from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.rules import PARTS_OF_RULE, Rules, read_rules, rules_text


@given(st.integers(0, 10**12), st.integers(1, 4), st.booleans(), st.none() | st.integers(1, 10**13))
def test_rules_are_kept_as_they_were(lead_ns: int, severity: int, turns: bool, total_ns: int | None) -> None:
    rules = Rules(lead_in_ns=lead_ns, least_severity=severity, turns=turns, total_ns=total_ns)
    assert read_rules(rules_text(rules)) == rules


@pytest.mark.parametrize("text", [None, "", "{}", "[]", "null", "7", '{"lead_in_ns": "x"}'])
def test_what_cannot_be_read_gives_the_usual_rules(text: str | None) -> None:
    assert read_rules(text) == Rules()


def test_each_part_of_the_rule_can_be_left_out() -> None:
    kept = json.loads(rules_text(Rules()))
    assert {name for name, value in kept.items() if value is True} == set(PARTS_OF_RULE)
