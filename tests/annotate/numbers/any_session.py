"""Any session that could be tagged: clips or none, gaps, states one after the other, events anywhere."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import DAY

LENGTH = 60
INSTANTS = st.integers(0, LENGTH).map(lambda at_s: at_s * NS_PER_S)
GAITS = ("stand", "walk", "trot", "lope", "back")
REINS = ("left_rein", "right_rein")
LEADS = ("left_lead", "right_lead", "disunited")
PRESSURES = ("pressure_off", "pressure_light", "pressure_firm")
DETAILS = (
    {},
    {"pen_diameter_m": "18.288", "rail_distance_m": "0.9144", "hip_height_m": "1.45", "place": "Old pen"},
    {"line_m": "30 ft"},
    {"pen_diameter_m": "wide"},
)
MIRROR = {
    "left_rein": "right_rein",
    "right_rein": "left_rein",
    "left_lead": "right_lead",
    "right_lead": "left_lead",
}
OTHER_SIDE = {"left": "right", "right": "left", "": ""}


def clip(number: int, start: int, end: int) -> PlacedClip:
    return PlacedClip(number, start, Fraction(1, 10**9), 0, end - start)


@st.composite
def sessions(draw: st.DrawFn) -> Session:
    """A minute at most, cut at whole seconds, so that edges often meet."""
    details = draw(st.sampled_from(DETAILS))
    if draw(st.booleans()):
        return Session(1, "Juniper", DAY, length_ns=draw(INSTANTS), details=details)
    edges = sorted(draw(st.sets(INSTANTS, min_size=2, max_size=6)))
    clips = tuple(clip(n, a, b) for n, (a, b) in enumerate(zip(edges[::2], edges[1::2], strict=False)))
    return Session(1, "Juniper", DAY, clips=clips, length_ns=draw(INSTANTS), details=details)


@st.composite
def row_of(draw: st.DrawFn, names: tuple[str, ...]) -> list[Tag]:
    """States that exclude each other, some of them touching."""
    edges = sorted(draw(st.sets(INSTANTS, max_size=9)))
    states = [Tag(draw(st.sampled_from(names)), a, b) for a, b in pairwise(edges)]
    return [tag for tag in states if draw(st.integers(0, 3))]


@st.composite
def tapped(draw: st.DrawFn) -> list[Tag]:
    """Strides tapped evenly, or none."""
    first, count = draw(INSTANTS), draw(st.sampled_from((0, 3, 6, 9)))
    step_ns = draw(st.integers(400, 1500)) * 1_000_000
    return [Tag("stride", first + place * step_ns) for place in range(count)]


@st.composite
def an_event(draw: st.DrawFn) -> Tag:
    # Reactions are what most figures count.
    names = ("turn_in", "turn_out", "cluck", "kiss", "body_cue", "lap", "lap", "paw")
    what = draw(st.sampled_from(("spook", "buck", "calm") * 4 + names))
    tag = Tag(what, draw(INSTANTS))
    if what in ("spook", "buck"):
        tag = replace(
            tag,
            severity=draw(st.sampled_from((None, 1, 2, 4))),
            stimulus=draw(st.sampled_from(("", "flag", "bag"))),
            side=draw(st.sampled_from(("", "left", "right"))),
        )
    return tag


@st.composite
def some_events(draw: st.DrawFn) -> list[Tag]:
    """Few or many; some fall at the very instant of the one before, in whatever order they were tagged."""
    made = draw(st.lists(an_event(), min_size=draw(st.sampled_from((0, 8))), max_size=18))
    found: list[Tag] = []
    for event in made:
        at_once = found and draw(st.integers(0, 3)) == 0
        found.append(replace(event, start_ns=found[-1].start_ns) if at_once else event)
    return found


@st.composite
def tag_lists(draw: st.DrawFn) -> list[Tag]:
    shown = [
        replace(
            tag,
            side=draw(st.sampled_from(("left", "right"))),
            note=draw(st.sampled_from(("", "colour red", "Place: gate, color Blue"))),
        )
        for tag in draw(row_of(("flag_on", "bag_on")))
    ]
    return [
        *draw(row_of(GAITS)),
        *draw(row_of(REINS)),
        *draw(row_of(("out_of_sight",))),
        *draw(row_of(("saddle",))),
        *draw(row_of(LEADS)),
        *draw(row_of(PRESSURES)),
        *draw(tapped()),
        *shown,
        *draw(some_events()),
    ]


def mirrored(tag: Tag) -> Tag:
    return replace(tag, what=MIRROR.get(tag.what, tag.what), side=OTHER_SIDE[tag.side])
