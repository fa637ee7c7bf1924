"""How late each person presses, as the barn keeps it, and whether it is taken out of their tags.

Off until it has been measured. Who sits at the desk is who measured last, or who was chosen.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from annotate.agreement.key_lag import without_lag
from annotate.footage import Footage, Shown
from annotate.tagging import Moment
from store.barn import Barn

_KEY = "key_lag"


@dataclass(frozen=True, slots=True)
class PersonsLag:
    """How late one person presses, and whether it is taken out."""

    late_ns: int
    taken_out: bool = True


@dataclass(frozen=True)
class KeyLags:
    """The people by name, and who of them sits at the desk."""

    people: Mapping[str, PersonsLag] = field(default_factory=dict)
    at_the_desk: str = ""

    def lag_ns(self, who: str | None = None) -> int:
        """What is to be taken out of a person's tags, or of those of who sits at the desk; 0 for none."""
        one = self.people.get(self.at_the_desk if who is None else who)
        return one.late_ns if one is not None and one.taken_out else 0

    def measured(self, who: str, late_ns: int) -> KeyLags:
        """The same after a person was measured: taken out from now on, and the person sits at the desk."""
        return KeyLags({**self.people, who: PersonsLag(late_ns)}, who)

    def switched(self, who: str, taken_out: bool) -> KeyLags:
        """The same with a person's lag taken out, or left in."""
        one = self.people.get(who)
        if one is None:
            return self
        return replace(self, people={**self.people, who: replace(one, taken_out=taken_out)})


def kept_key_lags(barn: Barn) -> KeyLags:
    """What the barn has."""
    kept = json.loads(barn.setting(_KEY) or "{}")
    people = {
        str(who): PersonsLag(int(one["late_ns"]), bool(one["taken_out"]))
        for who, one in kept.get("people", {}).items()
    }
    return KeyLags(people, str(kept.get("at_the_desk", "")))


def keep_key_lags(barn: Barn, lags: KeyLags) -> None:
    """Keeps them."""
    people = {
        who: {"late_ns": one.late_ns, "taken_out": one.taken_out} for who, one in lags.people.items()
    }
    barn.keep_setting(_KEY, json.dumps({"people": people, "at_the_desk": lags.at_the_desk}))


def seen_when_pressed(
    footage: Footage, shown: Shown, lag_ns: int, play_speed: float, played_from_ns: int
) -> Moment:
    """The frame that a person saw when deciding to press, while it plays.

    Never one before the playing began, and never one of another clip.
    """
    clip = shown.clip
    speed = Fraction(str(play_speed)) / (clip.capture_speed if clip is not None else 1)
    earliest_ns = max(played_from_ns, clip.starts_ns if clip is not None else 0)
    seen = footage.at(without_lag(shown.moment.ns, lag_ns, speed, earliest_ns))
    if seen.clip != clip or seen.moment.ns > shown.moment.ns:
        return shown.moment
    return seen.moment
