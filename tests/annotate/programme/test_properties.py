"""What must hold of any horse: quiet exposures never take readiness away, hard reactions never give it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.behaviours import REACTION
from annotate.clock import NS_PER_S
from annotate.programme.finding import Finding
from annotate.programme.reading import BOUNDS
from annotate.programme.standing import Standing, standing
from annotate.programme.steps import (
    Criterion,
    InARow,
    Programme,
    Reactions,
    Saddling,
    Seconds,
    Step,
    TackOrder,
    Times,
)
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.programme.horse import SHEET, Tags, day, record

Sessions = list[tuple[Session, Tags]]
WHICH = st.sampled_from(("either", "left", "right", "each"))
DAYS = 2
TACK = ("surcingle", "saddle", "front_cinch", "back_cinch")


@st.composite
def criteria(draw: st.DrawFn) -> Criterion:
    tack = draw(st.sampled_from(("", "surcingle")))
    within = draw(st.sampled_from((None, 3, 10)))
    return draw(
        st.sampled_from(
            (
                Seconds("one", draw(st.sampled_from(("walk", "lope", "moving"))), 5, draw(WHICH), tack),
                Times("one", "turn_in", draw(st.integers(1, 3)), rein=draw(WHICH)),
                InARow(
                    *("one", draw(st.sampled_from(("flag", "saddle")))),
                    *(draw(st.integers(1, 3)), draw(st.integers(0, 2)), draw(WHICH)),
                    *(within, draw(st.integers(0, 2))),
                ),
                Reactions(
                    *("one", draw(st.integers(0, 2)), within, draw(st.integers(1, 2))),
                    *(draw(st.sampled_from((0, 20))), tack),
                ),
                TackOrder("one", draw(st.booleans())),
            )
        )
    )


@st.composite
def programmes(draw: st.DrawFn) -> Programme:
    each = draw(st.lists(criteria(), min_size=2, max_size=4))
    steps = tuple(
        Step(f"step_{n}", f"step {n}", "", (replace(one, key="one"),)) for n, one in enumerate(each)
    )
    return Programme("any", steps, saddling=Saddling())


def row(
    *names: str, sides: tuple[str, ...] = ("",), notes: tuple[str, ...] = ("",)
) -> st.SearchStrategy[list[Tag]]:
    """Up to two states of a row, five seconds or more each, that may touch."""
    edges = st.lists(st.integers(0, 12), max_size=4, unique=True).map(sorted)
    kind = st.sampled_from([(name, side, note) for name in names for side in sides for note in notes])
    kinds = st.lists(kind, min_size=3, max_size=3)

    def built(made: tuple[list[int], list[tuple[str, str, str]]]) -> list[Tag]:
        spans = list(pairwise(made[0]))[:: 1 if len(made[0]) % 2 else 2]
        return [
            Tag(name, start * 5 * NS_PER_S, end * 5 * NS_PER_S, side=side, note=note)
            for (start, end), (name, side, note) in zip(spans, made[1], strict=False)
        ]

    return st.tuples(edges, kinds).map(built)


def happened(made: tuple[int, tuple[str, int | None]]) -> Tag:
    at_s, (what, severity) = made
    return Tag(what, at_s * NS_PER_S, severity=severity)


COLOURS = ("", "colour red")

KINDS = [("calm", None), ("turn_in", None), *(("spook", severity) for severity in (None, 1, 2, 3))]
EVENTS = st.lists(st.tuples(st.integers(1, 58), st.sampled_from(KINDS)).map(happened), max_size=5)
ROWS = st.tuples(
    row("stand", "walk", "lope"),
    row("left_rein", "right_rein"),
    row("out_of_sight"),
    *(row(tack) for tack in TACK),
    *(row(what, sides=("", "left", "right"), notes=COLOURS) for what in ("flag_on", "saddle_shown")),
    EVENTS,
).map(lambda rows: tuple(tag for tags in rows for tag in tags))


@st.composite
def days(draw: st.DrawFn) -> Sessions:
    """Two days of any tags in the first minute."""
    return [day(number, *draw(ROWS)) for number in range(DAYS)]


def stand(programme: Programme, sessions: Sessions) -> Standing:
    return standing(record(*sessions), programme, SHEET)


def met(found: Standing) -> set[str]:
    return {one.step.key for one in found.steps if one.state == "met"}


def with_tag(sessions: Sessions, number: int, tag: Tag) -> Sessions:
    changed = list(sessions)
    session, tags = changed[number]
    changed[number] = (session, (*tags, tag))
    return changed


@given(
    programmes(),
    days(),
    st.integers(0, DAYS - 1),
    st.integers(1, 500),
    st.sampled_from(("flag_on", "saddle_shown")),
    st.sampled_from(("", "left", "right")),
    st.sampled_from(COLOURS),
)
def test_a_quiet_exposure_never_makes_a_horse_less_ready(
    programme: Programme, sessions: Sessions, number: int, start_s: int, what: str, side: str, colour: str
) -> None:
    """Quiet: seen to its end, no reaction in it, and no piece of an exposure that was there already."""
    start_ns = start_s * NS_PER_S
    tag = Tag(what, start_ns, start_ns + NS_PER_S // 2, side=side, note=colour)
    _, tags = sessions[number]
    kinds = SHEET.names(REACTION)
    for other in tags:
        end_ns = other.end_ns if other.end_ns is not None else other.start_ns + 1
        apart = end_ns < tag.start_ns or other.start_ns > tag.start_ns + NS_PER_S
        assume(apart or other.what not in (what, "out_of_sight", *kinds))
    before, after = stand(programme, sessions), stand(programme, with_tag(sessions, number, tag))
    assert met(before) <= met(after)


@given(programmes(), days(), st.integers(0, DAYS - 1), st.integers(0, 599), st.sampled_from(("", "flag")))
def test_a_reaction_above_every_limit_never_makes_a_horse_more_ready(
    programme: Programme, sessions: Sessions, number: int, at_s: int, stimulus: str
) -> None:
    hard = Tag("bolt", at_s * NS_PER_S + 1, severity=4, stimulus=stimulus)
    before, after = stand(programme, sessions), stand(programme, with_tag(sessions, number, hard))
    assert met(after) <= met(before)


WORDS: dict[str, st.SearchStrategy[object]] = {
    **{word: st.integers(*bounds) for word, bounds in BOUNDS.items()},
    **dict.fromkeys(("rein", "side"), WHICH),
    **dict.fromkeys(("in_this_step", "seen_off", "tied"), st.booleans()),
    "tack": st.sampled_from(("", *TACK)),
}


@given(programmes(), days(), st.data())
def test_editing_a_criterion_changes_only_what_depends_on_it(
    programme: Programme, sessions: Sessions, data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(programme.steps) - 1))
    old = programme.steps[place]
    words = [word for word in WORDS if hasattr(old.criteria[0], word)]
    word = data.draw(st.sampled_from(words))
    value = data.draw(WORDS[word])
    edited = replace(old, criteria=(replace(old.criteria[0], **{word: value}),))
    steps = tuple(edited if n == place else step for n, step in enumerate(programme.steps))
    before, after = stand(programme, sessions), stand(replace(programme, steps=steps), sessions)
    assert before.concerns == after.concerns
    assert _others(before, place) == _others(after, place)


def _others(found: Standing, place: int) -> list[tuple[Finding, ...]]:
    return [one.findings for n, one in enumerate(found.steps) if n != place]


@given(programmes(), days())
def test_the_order_of_tagging_never_matters(programme: Programme, sessions: Sessions) -> None:
    turned = [(session, tags[::-1]) for session, tags in reversed(sessions)]
    before, after = stand(programme, sessions), stand(programme, turned)
    assert [one.findings for one in before.steps] == [one.findings for one in after.steps]


@given(programmes(), days())
def test_what_is_met_lacks_nothing_and_what_is_not_says_what(
    programme: Programme, sessions: Sessions
) -> None:
    for one in stand(programme, sessions).steps:
        for finding in one.findings:
            assert bool(finding.missing) is (finding.state != "met")
            assert finding.state != "not_yet" or finding.evidence
