"""Every figure of the JSON leads to the moments that make it, and what it does not name makes no difference."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S, Span, Spans
from annotate.numbers.as_json import to_json
from annotate.numbers.limits import Limits
from annotate.numbers.observed import look_at
from annotate.numbers.session_numbers import session_numbers
from annotate.numbers.sources import Source, Traced
from annotate.numbers.survival import Curve, Timed, curve
from annotate.numbers.tracing import sources_of
from annotate.numbers.trend import trend
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import sessions, tag_lists

SHEET = default_sheet()
LIMITS = Limits(minutes={"moving": 0.1, "fast": 0.05, "trot_left": 0.01}, metres={"left": 1.0}, severity=1)

Sources = tuple[Source, ...]


class Counted:
    """A session's figures, and what each was made of."""

    def __init__(self, session: Session, tags: list[Tag]) -> None:
        self.numbers = session_numbers(session, tags, SHEET, LIMITS)
        self.figures = to_json(self.numbers)
        self.traced = Traced(session, tags, SHEET, self.numbers, look_at(session, tags, SHEET))
        self.leaves = dict(leaves("", {k: v for k, v in self.figures.items() if k not in ("session", "reasons")}))

    def sources(self, key: str) -> Sources:
        return sources_of(self.traced, key)

    def seconds(self, key: str) -> Fraction:
        return Fraction(sum((one.end_ns or 0) - one.start_ns for one in self.sources(key)), NS_PER_S)

    def beside(self, key: str, last: str) -> Any:
        """The figure that stands beside another under another name."""
        return self.leaves[f"{key.rpartition('.')[0]}.{last}"]


def length(one: Source) -> int:
    return (one.end_ns or one.start_ns) - one.start_ns


def spans(sources: Sources) -> list[Span]:
    """The stretches with touching pieces joined: the bouts."""
    return list(Spans(Span(one.start_ns, one.end_ns) for one in sources if one.end_ns is not None))


def settled(sources: Sources) -> Curve:
    return curve(Timed(length(one), not one.words.endswith("cut short")) for one in sources)


def answered(sources: Sources) -> Curve:
    return curve(Timed(length(one), not one.words.endswith(("no answer", "cut short"))) for one in sources)


def of_curve(found: Curve, last: str) -> Any:
    ns: dict[str, Any] = {
        "count": found.count,
        "censored": found.cut_short,
        "median_s": found.median_ns,
        "restricted_mean_s": found.restricted_mean_ns(found.longest_ns) if found.count else None,
        "restricted_to_s": found.longest_ns,
    }
    value = ns[last]
    return value if value is None or last in ("count", "censored") else Fraction(value) / NS_PER_S


Check = Callable[[Counted, str, Sources], Any]


def count(_: Counted, __: str, sources: Sources) -> int:
    return len(sources)


def added_up(counted: Counted, key: str, _: Sources) -> Fraction:
    return counted.seconds(key)


def a_minute(counted: Counted, key: str, sources: Sources) -> Fraction | None:
    minutes = counted.seconds(f"{key.rpartition('.')[0]}.minutes") / 60
    return len(sources) / minutes if minutes else None


def share_of(counted: Counted, key: str, of: str) -> Fraction | None:
    whole = counted.seconds(of)
    return counted.seconds(key) / whole if whole else None


def balance(counted: Counted, left: str, right: str) -> Fraction | None:
    one, other = counted.seconds(left), counted.seconds(right)
    return (one - other) / (one + other) if one + other else None


def mean(sources: Sources) -> Fraction | None:
    bouts = spans(sources)
    return Fraction(sum(b.length_ns for b in bouts), len(bouts) * NS_PER_S) if bouts else None


def slope_of_severities(sources: Sources) -> Any:
    severities = [int(one.words.rpartition(" ")[2]) for one in sources]
    found = trend(severities)
    return found.slope if found.is_enough else None


# By the path's pattern: what the sources alone say the figure is. The first that fits holds.
CHECKS: tuple[tuple[str, Check], ...] = (
    (r"seconds\.\w+", added_up),
    (r"gait\.\w+\.((left|right)\.)?seconds|gait\.\w+\.(left|right)_s", added_up),
    (r"gait\.\w+\.share", lambda c, k, s: share_of(c, k, "seconds.visible")),
    (r"gait\.\w+\.left\.share", lambda c, k, s: share_of(c, k, "rein.visible_left_s")),
    (r"gait\.\w+\.right\.share", lambda c, k, s: share_of(c, k, "rein.visible_right_s")),
    (r"gait\.\w+\.balance", lambda c, k, s: balance(c, k[:-7] + "left_s", k[:-7] + "right_s")),
    (r"gait\.\w+\.((left|right)\.)?bouts", lambda c, k, s: len(spans(s))),
    (r"gait\.\w+\.((left|right)\.)?mean_bout_s", lambda c, k, s: mean(s)),
    (
        r"gait\.\w+\.((left|right)\.)?longest_bout_s",
        lambda c, k, s: Fraction(max((b.length_ns for b in spans(s)), default=0), NS_PER_S),
    ),
    (
        r"gait\.\w+\.((left|right)\.)?cut_bouts",
        lambda c, k, s: sum(b.end_ns in c.traced.seen.unseen_from for b in spans(s)),
    ),
    (
        r"gait\.\w+\.((left|right)\.)?began_unseen",
        lambda c, k, s: sum(b.start_ns in c.traced.seen.seen_again_from for b in spans(s)),
    ),
    (
        r"gait\.\w+\.((left|right)\.)?ended_with_session",
        lambda c, k, s: sum(
            b.end_ns == c.traced.seen.observed_to_ns and b.end_ns not in c.traced.seen.unseen_from for b in spans(s)
        ),
    ),
    (r"transitions\.(count|up|down|left|right|\w*by_pair\.\w+)", count),
    (r"rein\.(visible_)?(left|right)_s", added_up),
    (r"rein\.balance", lambda c, k, s: balance(c, "rein.left_s", "rein.right_s")),
    (r"direction_changes\.turn_(in|out)", count),
    (
        r"(reactions|transitions)\.per_min",
        lambda c, k, s: len(s) * 60 / c.seconds("seconds.visible") if c.numbers.visible_ns else None,
    ),
    (r"(reactions|first_and_last)\..*\.per_min", a_minute),
    (r"(reactions|first_and_last)\..*\.minutes", lambda c, k, s: c.seconds(k) / 60),
    (r"reactions\.(count|out_of_sight|no_rein|by_(kind|stimulus|severity)\.\w+)", count),
    (r"reactions\.(left|right|by_gait\.\w+|by_tack\.\w+|rates\.\w+\.\w+)\.count", count),
    (r"reactions\.(.*\.)?at_s\.\d+", lambda c, k, s: Fraction(s[int(k.rpartition(".")[2])].start_ns, NS_PER_S)),
    (r"recovery\.each\.\d+\.seconds", added_up),
    (r"recovery\.each\.\d+\.at_s", lambda c, k, s: Fraction(s[0].start_ns, NS_PER_S)),
    (
        r"(recovery|first_and_last\.\w+\.recovery)\.(by_\w+\.\w+\.)?"
        r"(count|censored|median_s|restricted_mean_s|restricted_to_s)",
        lambda c, k, s: of_curve(settled(s), k.rpartition(".")[2]),
    ),
    (r"recovery\.survival\.\d+\.1", lambda c, k, s: settled(s).steps[int(k.split(".")[2])].share),
    (r"responses\.(by_cue\.\w+\.)?(answered|no_answer|cut_short)|responses\.(already_there|asks_nothing)", count),
    (r"responses\.(by_cue\.\w+\.)?(at_first_ask|escalated)\.(count|of)|responses\.cues_needed\.\d+", count),
    (
        r"responses\.(by_cue\.\w+\.)?release\.(count|censored|median_s|restricted_mean_s|restricted_to_s)",
        lambda c, k, s: of_curve(settled(s), k.rpartition(".")[2]),
    ),
    (
        r"responses\.(by_cue\.\w+\.)?(count|censored|median_s|restricted_mean_s|restricted_to_s)",
        lambda c, k, s: of_curve(answered(s), k.rpartition(".")[2]),
    ),
    (r"responses\.each\.\d+\.(seconds|release_s)", lambda c, k, s: c.seconds(k) if s else None),
    (r"exposures\.\w+\.(count|left|right|quiet_in_a_row|without_reaction\.(count|of))", count),
    (r"exposures\.\w+\.(severity|recovery)_trend\.count", count),
    (r"exposures\.\w+\.severity_trend\.slope", lambda c, k, s: slope_of_severities(s)),
    (r"exposures\.\w+\.each\.\d+\.start_s", lambda c, k, s: Fraction(s[0].start_ns, NS_PER_S)),
    (r"exposures\.\w+\.each\.\d+\.end_s", lambda c, k, s: Fraction(s[0].end_ns or 0, NS_PER_S)),
    (r"laps\.(count|left|right|by_gait\.\w+\.count)|ground\.gait\.\w+\.laps", count),
    (
        r"laps\.(by_gait\.\w+\.)?mean_s|ground\.gait\.\w+\.lap_s",
        lambda c, k, s: c.seconds(k) / len(s) if s else None,
    ),
    (r"laps\.each\.\d+\.seconds", added_up),
    (r"lead\.((left|right)\.)?\w+_s|ground\.gait\.\w+\.seconds", added_up),
    (
        r"lead\.((left|right)\.)?share_correct",
        lambda c, k, s: share_of(c, k.replace("share_correct", "correct_s"), k),
    ),
    (r"load\.by\.\w+\.minutes", lambda c, k, s: c.seconds(k) / 60),
    (r"load\.over\.\d+\.figure", lambda c, k, s: c.seconds(k) / 60 if c.beside(k, "unit") == "minutes" else None),
    (r"sides\.(?!reactions|recovery|response)\w+\.(left|right)", added_up),
    (
        r"sides\.(?!reactions|recovery|response)\w+\.balance",
        lambda c, k, s: balance(c, k[:-7] + "left", k[:-7] + "right"),
    ),
    (
        r"sides\.reactions\.(left|right)",
        lambda c, k, s: a_minute(c, f"reactions.{k.rpartition('.')[2]}.per_min", s),
    ),
    (
        r"sides\.(recovery|response)\.(left|right)",
        lambda c, k, s: of_curve((settled if ".recovery." in k else answered)(s), "median_s"),
    ),
    (r"first_and_last\.\w+\.(moving_s|gait\.\w+\.seconds)", added_up),
    (r"first_and_last\.\w+\.reactions\.count|not_on_sheet\.\w+", count),
)

# Figures that are worked out from others that are checked above, are words, or are the trainer's own.
FOLLOWS = re.compile(
    r".*_95(\.\d)?|.*\.(p|chi2|p_falling|p_rising|s|few|ratio|runs|share|slope|quiet_severity)"
    r"|direction_changes\.(total|unseen|unmarked)|sides\.(reactions|recovery|response)\..*"
    r"|(recovery|responses)\.survival\..*|recovery\.each\.\d+\.ended_by|responses\.each\.\d+\.\w+"
    r"|exposures\.\w+\.each\.\d+\.\w+|laps\.each\.\d+\.\w+|doubts\..*|load\.(limits|over)\..*|load\.by\.\w+\.metres"
    r"|ground\.track\.\w+|ground\.gait\.\w+\.\w+|first_and_last(\..*)?\.at_s\.\d+|first_and_last"
)


def leaves(path: str, figures: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(figures, dict):
        inner: Any = figures.items()
    elif isinstance(figures, list):
        inner = enumerate(figures)
    else:
        yield path, figures
        return
    for key, value in inner:
        yield from leaves(f"{path}.{key}".lstrip("."), value)


def check_of(key: str) -> Check | None:
    return next((check for pattern, check in CHECKS if re.fullmatch(pattern, key)), None)


@settings(max_examples=60, deadline=None)
@given(sessions(), tag_lists())
def test_every_figure_is_what_its_moments_say(session: Session, tags: list[Tag]) -> None:
    counted = Counted(session, tags)
    for key, value in counted.leaves.items():
        check = check_of(key)
        if check is None:
            assert FOLLOWS.fullmatch(key), key
            counted.sources(key)
            continue
        if key.startswith("load.over") and counted.beside(key, "unit") == "metres":
            continue
        made = check(counted, key, counted.sources(key))
        if value is None or made is None:
            assert value is made, key
        else:
            assert value == pytest.approx(float(made), rel=1e-12, abs=1e-12), key


@settings(max_examples=80, deadline=None)
@given(sessions(), tag_lists(), st.data())
def test_an_event_that_a_figure_does_not_name_makes_no_difference_to_it(
    session: Session, tags: list[Tag], data: st.DataObject
) -> None:
    places = [place for place, tag in enumerate(tags) if tag.end_ns is None]
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    gone = tags[place].start_ns
    counted, without = Counted(session, tags), Counted(session, [*tags[:place], *tags[place + 1 :]])
    for key in counted.leaves.keys() & without.leaves.keys():
        # Places in a list move up when something before them goes.
        if counted.leaves[key] == without.leaves[key] or re.search(r"\.\d+(\.|$)", key):
            continue
        named = (*counted.sources(key), *without.sources(key))
        assert any(one.start_ns <= gone <= (one.end_ns or one.start_ns) for one in named), key
