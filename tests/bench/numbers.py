"""What the numbers cost, beside a straightforward NumPy computation of the same totals.

A barn of 1,000 sessions with 2,000 tags each; one horse has 60 of them. Both sides read the same file in the
same run, in turns. NumPy's totals are seconds per gait and rein in sight, bouts, reactions per rein, kind and
gait. Over the whole barn ours are the same totals, as `compare` without a horse shows them, and must come out
equal; of single sessions ours are all numbers, so that those rows beside NumPy say only how dear the rest is.
"""

from __future__ import annotations

import gc
import tempfile
import time
import tracemalloc
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import closing
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from annotate.behaviours import GAIT, REACTION, default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.compare_json import compare_json
from annotate.numbers.session_numbers import session_numbers
from annotate.numbers.totals import Totals, session_totals
from annotate.tagging import Change
from annotate.tags import Tag
from app.figures import numbers_of, numbers_of_all
from store.barn import Barn
from store.connecting import connect
from tests.bench.row import Row

SESSIONS, TAGS, OF_ONE_HORSE, HOUR = 1000, 2000, 60, 3600
_TEMPLATES = 8
_COPY = """
INSERT INTO tag (id, session_id, look, what, start_ns, end_ns, severity, stimulus, side, note, running)
SELECT id + ?, ?, look, what, start_ns, end_ns, severity, stimulus, side, note, running
FROM tag WHERE session_id = ?
"""
_READ = "SELECT what, start_ns, end_ns FROM tag WHERE session_id = ? AND look = 1"


def rows() -> Iterable[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.barn"
        ids = _make_barn(path)
        with Barn.open(path) as barn, closing(connect(path)) as bare:
            yield from _one_session(barn, bare, ids[0])
            yield _one_horse(barn, bare, ids[:OF_ONE_HORSE])
            yield from _whole_barn(barn, bare, ids)
            yield from _memory(barn, ids[:100])


def _one_session(barn: Barn, bare: Any, session_id: int) -> Iterable[Row]:
    session, tags, sheet = barn.session(session_id), barn.tags(session_id), default_sheet()
    arrays = _arrays(bare, session_id)
    ours = _least(lambda: session_numbers(session, tags, sheet), 60)
    yield Row("all numbers of one session, within 10 ms", ours * 1e3, 10.0, 1.0, "ms")
    yield Row("the same beside NumPy", ours * 1e3, _least(lambda: _totals(*arrays), 60) * 1e3, None, "ms")
    read = _least(lambda: numbers_of(barn, session_id), 30)
    by_numpy = _least(lambda: _totals(*_arrays(bare, session_id)), 30)
    yield Row("reading it from the barn as well", read * 1e3, by_numpy * 1e3, None, "ms")


def _one_horse(barn: Barn, bare: Any, ids: list[int]) -> Row:
    ours = _least(lambda: compare_json(numbers_of_all(barn, ids)), 1)
    return Row(f"comparison of {len(ids)} sessions", ours, _least(lambda: _add_up(bare, ids), 1), None, "s")


def _whole_barn(barn: Barn, bare: Any, ids: list[int]) -> Iterable[Row]:
    """Each session in turn is read and counted by both, now one first, now the other: the file is warm to neither."""
    sheet = barn.sheet()
    ours, theirs = Totals(), Counter[tuple[str, ...]]()
    took = dict.fromkeys(("ours", "numpy", "all"), 0.0)
    for number, session_id in enumerate(ids):
        for whose in ("ours", "numpy", "all")[:: 1 if number % 2 else -1]:
            begun = time.perf_counter()
            if whose == "ours":
                ours += session_totals(barn.session(session_id), barn.plain_tags(session_id), sheet)
            elif whose == "numpy":
                theirs.update(_totals(*_arrays(bare, session_id)))
            else:
                numbers_of(barn, session_id)
            took[whose] += time.perf_counter() - begun
    if +_named(ours) != +theirs:
        raise RuntimeError("The two do not count the same.")
    yield Row(f"totals of the whole barn, {len(ids)} sessions", took["ours"], took["numpy"], 3.0, "s")
    yield Row("all numbers of each, which NumPy does not have", took["all"], took["numpy"], None, "s")


def _memory(barn: Barn, ids: list[int]) -> Iterable[Row]:
    """The most that is held at a time, over many sessions and over few: alike if it hangs on the largest."""
    sheet = barn.sheet()

    def totals(some: list[int]) -> None:
        summed = Totals()
        for session_id in some:
            summed += session_totals(barn.session(session_id), barn.plain_tags(session_id), sheet)

    def numbers(some: list[int]) -> None:
        for _ in numbers_of_all(barn, some):
            pass

    for words, does in (("totals", totals), ("all numbers", numbers)):
        does(ids[:2])
        many, few = (_peak_mb(does, some) for some in (ids, ids[:20]))
        yield Row(f"most memory, {words}: {len(ids)} sessions, bare 20", many, few, 1.2, "MB")


def _peak_mb(does: Callable[[list[int]], None], ids: list[int]) -> float:
    gc.collect()
    tracemalloc.start()
    does(ids)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 1e6


def _named(totals: Totals) -> Counter[tuple[str, ...]]:
    """Ours, as NumPy's are named. Nothing in them is rounded."""
    return Counter(
        {
            **{("ns", gait): time_ns for gait, time_ns in totals.gait_ns.items()},
            **{("ns", *names): time_ns for names, time_ns in totals.on_rein_ns.items()},
            **{("bouts", gait): count for gait, count in totals.bouts.items()},
            **{("reactions", name): count for name, count in (*totals.seen_in.items(), *totals.reactions.items())},
        }
    )


def _add_up(bare: Any, ids: list[int]) -> Counter[tuple[str, ...]]:
    totals: Counter[tuple[str, ...]] = Counter()
    for session_id in ids:
        totals.update(_totals(*_arrays(bare, session_id)))
    return totals


def _arrays(bare: Any, session_id: int) -> tuple[Any, Any, Any]:
    whats, starts, ends = zip(*bare.execute(_READ, (session_id,)).fetchall(), strict=True)
    return np.array(whats), np.array(starts), np.array([-1 if end is None else end for end in ends])


def _totals(whats: Any, starts: Any, ends: Any) -> Counter[tuple[str, ...]]:
    """The totals by sorting and by searching sorted edges."""
    totals: Counter[tuple[str, ...]] = Counter()
    hidden = _edges(whats, starts, ends, "out_of_sight")
    spans = {name: _without(_edges(whats, starts, ends, name), hidden) for name in (*_GAITS, *_REINS)}
    events = ends < 0
    reactions = starts[events & np.isin(whats, _REACTIONS)]
    seen = reactions[np.searchsorted(hidden.ravel(), reactions, side="right") % 2 == 0]
    for name in _GAITS:
        mine = spans[name]
        totals["ns", name] = int((mine[:, 1] - mine[:, 0]).sum())
        totals["bouts", name] = len(mine)
        totals["reactions", name] = int((np.searchsorted(mine.ravel(), seen, side="right") % 2).sum())
        for rein in _REINS:
            totals["ns", name, rein] = _shared(mine, spans[rein])
    for rein in _REINS:
        edges = spans[rein].ravel()
        totals["reactions", rein] = int((np.searchsorted(edges, seen, side="right") % 2).sum())
    kinds, counts = np.unique(whats[events & np.isin(whats, _REACTIONS)], return_counts=True)
    for kind, count in zip(kinds, counts, strict=True):
        totals["reactions", str(kind)] = int(count)
    return totals


def _edges(whats: Any, starts: Any, ends: Any, name: str) -> Any:
    """Starts and ends of a state in order, touching pieces joined."""
    mine = whats == name
    start, end = np.sort(starts[mine]), np.sort(ends[mine])
    apart = np.ones(len(start), bool)
    apart[1:] = start[1:] > end[:-1]
    return np.stack([start[apart], end[np.append(apart[1:], True)] if len(end) else end], axis=1)


def _without(spans: Any, hidden: Any) -> Any:
    """What of some spans does not lie in others."""
    gaps = np.append(np.insert(hidden.ravel(), 0, 0), HOUR * NS_PER_S).reshape(-1, 2)
    low = np.maximum(spans[:, None, 0], gaps[None, :, 0])
    high = np.minimum(spans[:, None, 1], gaps[None, :, 1])
    return np.stack([low[low < high], high[low < high]], axis=1)


def _shared(one: Any, other: Any) -> int:
    """How long two sets of spans hold at once."""
    low = np.maximum(one[:, None, 0], other[None, :, 0])
    high = np.minimum(one[:, None, 1], other[None, :, 1])
    return int(np.maximum(high - low, 0).sum())


def _least(does: Callable[[], object], times: int) -> float:
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        does()
        took.append(time.perf_counter() - begun)
    return min(took)


# -- a large barn, quickly

_SHEET = default_sheet()
_GAITS = tuple(gait.name for gait in _SHEET.of_group(GAIT))
_REINS = ("left_rein", "right_rein")
_REACTIONS = tuple(kind.name for kind in _SHEET.of_group(REACTION))


def _make_barn(path: Path) -> list[int]:
    """The ids of its sessions; those of the first horse come first."""
    with Barn.create(path) as barn:
        ids = []
        for number in range(SESSIONS):
            horse = 0 if number < OF_ONE_HORSE else 1 + number % 19
            day = date(2024, 1, 1) + timedelta(days=number)
            ids.append(barn.add_session(f"Made-up {horse}", day, length_ns=HOUR * NS_PER_S))
        for number in range(_TEMPLATES):
            barn.apply(ids[number], Change((), tuple(_tags(Random(number)))))
    with closing(connect(path)) as bare:
        bare.execute("BEGIN")
        for number in range(_TEMPLATES, SESSIONS):
            bare.execute(_COPY, (number * 1_000_000, ids[number], ids[number % _TEMPLATES]))
        bare.execute("COMMIT")
    return ids


def _tags(random: Random) -> list[Tag]:
    """An hour's work, invented: states one after the other, stimuli, tack, and events anywhere."""
    tags = [
        *_row(random, ("stand", "walk", "trot", "lope"), 600),
        *_row(random, _REINS, 120),
        *_row(random, ("pressure_off", "pressure_light", "pressure_firm"), 200),
        *(Tag("out_of_sight", at * NS_PER_S, (at + 5) * NS_PER_S) for at in range(30, HOUR, 120)),
    ]
    for at in range(0, HOUR, 60):
        side = random.choice(("left", "right"))
        tags.append(Tag("flag_on", at * NS_PER_S, (at + 20) * NS_PER_S, side=side))
    names = ("spook", "shy", "calm", "turn_in", "turn_out", "cluck", "kiss", "lick_chew", "lap")
    while len(tags) < TAGS:
        what = random.choice(names)
        severity = random.randint(1, 4) if what in _REACTIONS else None
        tags.append(Tag(what, random.randrange(HOUR * NS_PER_S), severity=severity))
    numbered = random.sample(range(1, 1_000_000), len(tags))
    base = random.randrange(1_000, 2_000_000_000) * 2_000_000_000
    return [_with_id(tag, base + number) for tag, number in zip(tags, numbered, strict=True)]


def _row(random: Random, names: tuple[str, ...], count: int) -> list[Tag]:
    edges = sorted(random.sample(range(0, HOUR * NS_PER_S, NS_PER_S // 1000), count + 1))
    return [Tag(random.choice(names), a, b) for a, b in pairwise(edges)]


def _with_id(tag: Tag, tag_id: int) -> Tag:
    return Tag(tag.what, tag.start_ns, tag.end_ns, tag.severity, tag.stimulus, tag.side, id=tag_id)
