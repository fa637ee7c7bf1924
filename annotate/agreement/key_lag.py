"""How late a person presses, and taking it out.

In the exercise something happens at known times and the person presses a key. While a clip plays, the
picture runs on from the moment until the press: by the lag times the speed at which session time plays. A
press on a standing picture has no lag.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median, quantiles

from annotate.clock import NS_PER_S, round_half_up

# Our own choices. Nobody reacts faster than a tenth of a second; whoever takes longer than a second and a
# half was looking elsewhere.
SOONEST_NS = NS_PER_S // 10
LATEST_NS = 3 * NS_PER_S // 2
FEWEST_PRESSES = 8


@dataclass(frozen=True)
class KeyLag:
    """What the exercise measured: how late each answered moment was pressed, and what did not count.

    `missed` moments had no press in time; `stray` presses answered no moment.
    """

    late_ns: tuple[int, ...]
    missed: int
    stray: int

    @property
    def median_ns(self) -> int | None:
        """How late a press is, half of them later and half sooner; None below `FEWEST_PRESSES`."""
        return round_half_up(median(map(Fraction, self.late_ns))) if self.is_enough else None

    @property
    def middle_half_ns(self) -> tuple[int, int] | None:
        """Between which lags the middle half of the presses lies; None below `FEWEST_PRESSES`."""
        if not self.is_enough:
            return None
        low, _, high = quantiles(map(Fraction, self.late_ns), n=4, method="inclusive")
        return round_half_up(low), round_half_up(high)

    @property
    def is_enough(self) -> bool:
        """Whether enough moments were answered to speak of a lag."""
        return len(self.late_ns) >= FEWEST_PRESSES

    @property
    def why_not(self) -> str:
        """Why there is no lag; empty where there is one."""
        if self.is_enough:
            return ""
        return f"Only {len(self.late_ns)} moments were answered in time; it takes {FEWEST_PRESSES}."


def key_lag(shown_ns: Sequence[int], pressed_ns: Sequence[int]) -> KeyLag:
    """The lag from the instants at which something was shown and those of the presses, on one clock.

    Each shown moment takes the first press from `SOONEST_NS` to `LATEST_NS` after it and before the next.
    """
    shown, pressed = sorted(shown_ns), sorted(pressed_ns)
    late: list[int] = []
    for place, at_ns in enumerate(shown):
        until_ns = at_ns + LATEST_NS
        if place + 1 < len(shown):
            until_ns = min(until_ns, shown[place + 1] + SOONEST_NS - 1)
        answer = bisect_left(pressed, at_ns + SOONEST_NS)
        if answer < len(pressed) and pressed[answer] <= until_ns:
            late.append(pressed[answer] - at_ns)
    return KeyLag(tuple(late), len(shown) - len(late), len(pressed) - len(late))


def without_lag(pressed_at_ns: int, lag_ns: int, speed: Fraction, earliest_ns: int = 0) -> int:
    """The session time of what the person saw when deciding to press.

    `speed` is session time by the clock on the wall: play speed over capture speed, 0 on a standing picture.
    Never before `earliest_ns`, where the clip or the playing began.
    """
    seen_ns = pressed_at_ns - round_half_up(lag_ns * max(speed, Fraction(0)))
    return max(min(earliest_ns, pressed_at_ns), seen_ns)


def lag_words(taken_ns: int) -> str:
    """What a tag says about it: 'key lag of 0.28 s taken out'; empty where nothing was."""
    if taken_ns <= 0:
        return ""
    hundredths = round_half_up(Fraction(taken_ns * 100, NS_PER_S))
    return f"key lag of {hundredths // 100}.{hundredths % 100:02d} s taken out"
