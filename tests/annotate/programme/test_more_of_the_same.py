"""Rows of exposures and of reactions that are close to being met: one more, quiet or hard, turns no verdict wrong.

The invented days of `test_properties` seldom meet a criterion; here most of what is drawn does, or nearly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from hypothesis import assume, given, target
from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from annotate.programme.steps import Criterion, InARow, Reactions
from annotate.tags import Tag
from tests.annotate.programme.horse import Tags, day, found
from tests.annotate.tagged import state

SLOTS = 6
SLOT_S, SHOWN_S = 20, 4
DAYS = 2
NOTES = ("", "colour red")


@dataclass(frozen=True)
class Shown:
    """An exposure in its slot of twenty seconds, with what the horse made of it; severity 0 is nothing."""

    side: str
    note: str
    severity: int
    calm_s: int | None

    def tags(self, slot: int) -> list[Tag]:
        start = slot * SLOT_S * NS_PER_S
        tags = [Tag("flag_on", start, start + SHOWN_S * NS_PER_S, side=self.side, note=self.note)]
        if self.severity:
            tags.append(Tag("spook", start + NS_PER_S, severity=self.severity, stimulus="flag"))
            if self.calm_s is not None:
                tags.append(Tag("calm", start + NS_PER_S + self.calm_s * NS_PER_S))
        return tags


Work = list[dict[int, Shown]]

EXPOSURES = st.builds(
    Shown,
    st.sampled_from(("left", "right")),
    st.sampled_from(("", "", *NOTES)),
    st.sampled_from((0, 0, 0, 0, 1, 1, 2, 3)),
    st.sampled_from((2, 2, 2, 8, None)),
)
DAY = st.dictionaries(st.integers(0, SLOTS - 1), EXPOSURES, max_size=SLOTS)
WORK = st.lists(DAY, min_size=DAYS, max_size=DAYS)
IN_A_ROW = st.builds(
    InARow,
    st.just("one"),
    st.just("flag"),
    st.integers(1, 2),
    st.integers(0, 2),
    st.sampled_from(("either", "left", "right", "each")),
    st.sampled_from((None, 5)),
    st.integers(0, 2),
)
NO_REACTION = st.builds(
    Reactions, st.just("one"), st.integers(0, 2), st.sampled_from((None, 5)), st.integers(1, 2), st.just(60)
)


def is_met(criterion: Criterion, work: Work) -> bool:
    sessions = []
    for number, slots in enumerate(work):
        tags: Tags = (state("walk", 0, 600), *(tag for slot in slots for tag in slots[slot].tags(slot)))
        sessions.append(day(number, *tags))
    return found(criterion, *sessions).state == "met"


def put(work: Work, number: int, slot: int, one: Shown) -> Work:
    changed = [dict(slots) for slots in work]
    changed[number][slot] = one
    return changed


@given(
    IN_A_ROW | NO_REACTION,
    WORK,
    st.integers(0, DAYS - 1),
    st.integers(0, SLOTS - 1),
    st.sampled_from(("left", "right")),
    st.sampled_from(NOTES),
)
def test_one_more_quiet_exposure_never_takes_a_criterion_away(
    criterion: Criterion, work: Work, number: int, slot: int, side: str, note: str
) -> None:
    assume(slot not in work[number])
    before = is_met(criterion, work)
    target(float(before))
    assert is_met(criterion, put(work, number, slot, Shown(side, note, 0, None))) or not before


@given(IN_A_ROW | NO_REACTION, WORK, st.integers(0, DAYS - 1), st.data())
def test_one_more_hard_reaction_never_gives_a_criterion(
    criterion: Criterion, work: Work, number: int, data: st.DataObject
) -> None:
    assume(work[number])
    slot = data.draw(st.sampled_from(sorted(work[number])))
    calm_s = data.draw(st.sampled_from((2, 8, None)))
    hard = put(work, number, slot, replace(work[number][slot], severity=4, calm_s=calm_s))
    assert is_met(criterion, work) or not is_met(criterion, hard)


@given(IN_A_ROW | NO_REACTION)
def test_what_is_drawn_here_is_met_whenever_all_of_it_is_quiet(criterion: Criterion) -> None:
    """Else the two above would prove nothing: they would be about horses that are ready for nothing."""
    quiet = {slot: Shown(("left", "right")[slot % 2], "", 0, None) for slot in range(SLOTS)}
    assert is_met(criterion, [quiet] * DAYS)
    assert not is_met(criterion, [{slot: replace(one, severity=4) for slot, one in quiet.items()}] * DAYS)
