"""An invented hour and second observers whose errors are known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from annotate.tags import Tag
from tests.annotate.agreement.second_looks import ns
from tests.annotate.numbers.worked_session import event, state

LENGTH_S = 3600
GAITS = ("stand", "walk", "trot", "lope")


def an_hour(random: Random) -> list[Tag]:
    """Bouts of 5 to 30 s, and a spook every 8 to 25 s."""
    tags: list[Tag] = []
    at_s, gait = 0.0, ""
    while at_s < LENGTH_S:
        gait = random.choice([name for name in GAITS if name != gait])
        end_s = min(LENGTH_S, at_s + random.uniform(5, 30))
        tags.append(state(gait, at_s, end_s))
        at_s = end_s
    at_s = random.uniform(8, 25)
    while at_s < LENGTH_S - 10:
        tags.append(event("spook", at_s, severity=random.randint(1, 4)))
        at_s += random.uniform(8, 25)
    return tags


def second_observer(
    random: Random,
    first: list[Tag],
    *,
    late_s: float = 0,
    spread_s: float = 0,
    missed: float = 0,
    trot_for_lope: float = 0,
) -> Iterator[Tag]:
    """The same hour as somebody sees it who presses late, misses instants, and takes a lope for a trot."""
    for tag in first:
        if tag.end_ns is None:
            if random.random() >= missed:
                yield replace(tag, start_ns=tag.start_ns + ns(random.gauss(late_s, spread_s)), id=tag.id + 2)
        elif tag.what == "lope" and random.random() < trot_for_lope:
            yield replace(tag, what="trot", id=tag.id + 2)
        else:
            yield replace(tag, id=tag.id + 2)
