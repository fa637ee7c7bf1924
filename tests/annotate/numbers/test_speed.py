from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from random import Random
from time import process_time

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.session_numbers import session_numbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import of_length

HOUR_NS = 3600 * NS_PER_S


def row(chance: Random, count: int, names: tuple[str, ...], kept: float = 1) -> list[Tag]:
    """States that exclude each other, all through an hour."""
    edges = sorted(chance.sample(range(HOUR_NS), count + 1))
    return [Tag(chance.choice(names), a, a + max(1, int((b - a) * kept))) for a, b in pairwise(edges)]


def least_s(does: Callable[[], object], times: int = 20) -> float:
    """Of the processor, so that other work on the machine does not count."""
    took = []
    for _ in range(times):
        began = process_time()
        does()
        took.append(process_time() - began)
    return min(took)


def test_all_numbers_of_two_thousand_tags_cost_less_than_four_times_adding_up_their_exact_lengths() -> None:
    # What that is in milliseconds, `tests.bench numbers` prints: here it would fail on a slow machine.
    chance = Random(1)
    tags = [
        *row(chance, 1000, ("stand", "walk", "trot", "lope")),
        *row(chance, 200, ("left_rein", "right_rein")),
        *row(chance, 100, ("out_of_sight",), kept=0.2),
        *row(chance, 100, ("flag_on", "bag_on"), kept=0.5),
        *(
            Tag(what, chance.randrange(HOUR_NS))
            for what, count in (("spook", 150), ("calm", 150), ("cluck", 200), ("turn_in", 100))
            for _ in range(count)
        ),
    ]
    session, sheet = of_length(3600), default_sheet()
    assert len(tags) == 2000

    def add_up() -> None:
        lengths: dict[str, Fraction] = {}
        for tag in sorted(tags, key=lambda one: one.start_ns):
            length = Fraction((tag.end_ns or tag.start_ns) - tag.start_ns, NS_PER_S)
            lengths[tag.what] = lengths.get(tag.what, Fraction(0)) + length

    assert least_s(lambda: session_numbers(session, tags, sheet)) < 4 * least_s(add_up)
