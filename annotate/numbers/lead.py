"""Which lead the horse was on at lope. Correct is the lead of the rein: left lead on the left rein.

Rein and lead are two tags: the lead says how the horse's feet fall, the rein where it goes. Disunited, the
fore lead and the hind lead differ, so that it is neither correct nor wrong.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from annotate.behaviours import DISUNITED, LEFT_LEAD, LEFT_REIN, LOPE, RIGHT_LEAD, RIGHT_REIN
from annotate.numbers.observed import Seen

REINS: Mapping[str, tuple[str, str, str]] = {
    "left": (LEFT_REIN, LEFT_LEAD, RIGHT_LEAD),
    "right": (RIGHT_REIN, RIGHT_LEAD, LEFT_LEAD),
}
"""Each side's rein, its correct lead and its wrong one."""


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Lope by its lead. `untagged_ns` is lope without a lead or, with one, without a rein to judge it by."""

    lope_ns: int
    correct_ns: int
    wrong_ns: int
    disunited_ns: int

    @property
    def untagged_ns(self) -> int:
        """What is left of the lope."""
        return self.lope_ns - self.correct_ns - self.wrong_ns - self.disunited_ns

    @property
    def share(self) -> Fraction | None:
        """Correct of correct, wrong and disunited; None where no lead was tagged."""
        judged = self.correct_ns + self.wrong_ns + self.disunited_ns
        return Fraction(self.correct_ns, judged) if judged else None


@dataclass(frozen=True, slots=True)
class Leads:
    """The lead on each rein, and in all."""

    left: LeadTime
    right: LeadTime
    whole: LeadTime


def leads(seen: Seen) -> Leads:
    """The leads of a session's lope."""
    lope = seen.of(LOPE)
    if not any(seen.of(lead) for lead in (LEFT_LEAD, RIGHT_LEAD, DISUNITED)):
        left, right = ((lope & seen.of(rein)).length_ns for rein in (LEFT_REIN, RIGHT_REIN))
        return Leads(_untagged(left), _untagged(right), _untagged(lope.length_ns))
    disunited = lope & seen.of(DISUNITED)
    sides: dict[str, LeadTime] = {}
    for side, (rein, correct, wrong) in REINS.items():
        on_rein = lope & seen.of(rein)
        sides[side] = LeadTime(
            lope_ns=on_rein.length_ns,
            correct_ns=(on_rein & seen.of(correct)).length_ns,
            wrong_ns=(on_rein & seen.of(wrong)).length_ns,
            disunited_ns=(on_rein & disunited).length_ns,
        )
    whole = LeadTime(
        lope_ns=lope.length_ns,
        correct_ns=sum(side.correct_ns for side in sides.values()),
        wrong_ns=sum(side.wrong_ns for side in sides.values()),
        disunited_ns=disunited.length_ns,
    )
    return Leads(sides["left"], sides["right"], whole)


def _untagged(lope_ns: int) -> LeadTime:
    return LeadTime(lope_ns, correct_ns=0, wrong_ns=0, disunited_ns=0)
