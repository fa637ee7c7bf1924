"""An hour of work at the desk, faster than it passes: does the memory grow, and is the window ever held up?

Each of sixty minutes holds what a minute of tagging holds (210 tags an hour, as an ordinary session has): four
tags with what is said of them, a correction, an undo, steps by frames and seconds, seeks, zooming, a second and a
half of playing at 2 x in place of a minute. Every minute another session of the demonstration is opened, so that the
first ten have seen all seven; every fourth the other pages are looked at. All of it by real key events on the real
window, no mouse.

Memory is what the process holds (resident set), each minute, once the garbage is collected. It goes up and down with
the session that is open, so the largest value after the tenth minute is set beside the largest before; how the last
ten minutes lie beside the second ten tells whether it creeps.

A block is told on the wall's clock and by the thread's own work. Where others use the cores and the disk, the first
says little: of the longest it is told how long the thread was ready and no core free, and how long it waited for a
change to be on the disk. What it waits for another of our threads that has the interpreter and no core is in neither.
"""

from __future__ import annotations

import gc
import itertools
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from resource import getpagesize
from statistics import fmean

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from app.collecting import Collecting
from app.demonstration import make_demonstration
from app.look import FUSION, dress
from app.main_window import MainWindow
from app.memory import give_memory_back
from app.warming import Warming, favour_window
from store.barn import Barn
from tests.app.hands import tap
from tests.bench.desk_hand import BareLoop, Watchdog, pages_made, run

MINUTES, SETTLED = 60, 10
_PLAYED_S = 1.5
_LONGEST = 8
_AIM_PERCENT, _AIM_MS = 5.0, 50.0
_TAGS = (("W", "Q"), ("T",), ("K", "3"), ("C",), ("L", "P"), ("K", "2"), ("C",), ("W",))
_PAGES = ("F1", "Ctrl+E", "F9")


def main() -> int:
    """Prints the memory of each minute, the growth, and the longest blocks."""
    app = QApplication.instance() or QApplication(["hour", *FUSION])
    assert isinstance(app, QApplication)
    dress(app, "evening")
    favour_window()
    collecting = Collecting(app)
    give_memory_back()
    warming = Warming()
    warming.begin()
    warming.join()
    with tempfile.TemporaryDirectory() as folder:
        made = make_demonstration(Path(folder))
        window = MainWindow(Barn.open(made.barn))
        window.resize(1280, 720)
        window.show()
        ids = [row.id for row in window.barn.sessions()]
        held: list[float] = []
        count: Counter[str] = Counter()
        dog, bare, begun = Watchdog(), BareLoop(), time.perf_counter()
        run(_hour(window, ids, count, held, dog))
        took_s = time.perf_counter() - begun
        dog.stop()
        bare_ms = bare.stop()
        window.close()
        collecting.stop()
    app.processEvents()
    _tell(count, held, dog, bare_ms, took_s)
    return 0


def _hour(
    window: MainWindow, ids: list[int], count: Counter[str], held: list[float], dog: Watchdog
) -> Iterator[Callable[[], bool]]:
    sessions, tags = itertools.cycle(ids), itertools.cycle(_TAGS)
    yield from pages_made(window, dog)
    for minute in range(MINUTES):
        yield from _open(window, next(sessions), count, dog)
        yield from _minute(window, [next(tags) for _ in range(4)], count, dog)
        if minute % 4 == 3:
            yield from _other_pages(window, count, dog)
        dog.doing = "nothing"
        # What was closed while it read a picture reads that to its end.
        yield lambda: all(thread.name != "pictures end" for thread in threading.enumerate())
        gc.collect()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        held.append(_held_mb())
        dog.restart("nothing")


def _open(window: MainWindow, session: int, count: Counter[str], dog: Watchdog) -> Iterator[Callable[[], bool]]:
    dog.doing = "opening a session"
    window.show_barn()
    yield lambda: not window.jobs.running
    window.open_session(session)
    count["sessions opened"] += 1
    yield lambda: window.desk.showing.has_picture and not window.jobs.running
    tap(window.desk, "Escape")
    yield lambda: True


def _minute(
    window: MainWindow, tags: list[tuple[str, ...]], count: Counter[str], dog: Watchdog
) -> Iterator[Callable[[], bool]]:
    desk = window.desk

    def press(*keys: str, what: str) -> Iterator[Callable[[], bool]]:
        for key in keys:
            dog.doing = f"{what}, {key}"
            tap(desk, key)
            count[what] += 1
            yield lambda: desk.showing.has_picture

    for keys in tags:
        yield from press("Shift+Right", "Right", "Right", "Left", what="steps")
        yield from press(*keys, what="keys of tags")
    yield from press("Alt+Left", "Alt+Right", what="corrections")
    yield from press("Ctrl+Z", what="undone")
    yield from press("PgDown", "PgUp", "Shift+Right", "Up", "Down", ",", what="seeks")
    yield from press("Ctrl+Up", "Ctrl+Up", "Ctrl+Home", what="zooms")
    desk.showing.set_speed(2.0)
    yield from press("Space", what="plays")
    dog.doing = "playing at 2 x"
    begun = time.perf_counter()
    yield lambda: time.perf_counter() - begun > _PLAYED_S
    if desk.showing.is_playing:
        tap(desk, "Space")
    yield lambda: not desk.showing.is_playing
    if desk.showing.is_at_end:
        yield from press("Home", what="seeks")


def _other_pages(window: MainWindow, count: Counter[str], dog: Watchdog) -> Iterator[Callable[[], bool]]:
    desk = window.desk
    assert desk.review is not None
    horse, session = desk.review.session.horse, desk.review.session.id
    for key in _PAGES:
        dog.doing = key
        for _ in range(2):
            focus = window.focusWidget()
            tap(focus if focus is not None else window, key)
            yield lambda: True
        count["pages"] += 1
    shows: dict[str, Callable[[], None]] = {
        "owner": window.show_owner_page,
        "barn": window.show_barn,
        "today": window.show_today,
        "programme": lambda: window.show_programme(horse),
        "side by side": lambda: window.show_comparison(horse),
        "second look": lambda: window.again.show_second_look(session),
    }
    for page, show in shows.items():
        dog.doing = f"the page {page}"
        show()
        count["pages"] += 1
        yield lambda: not window.jobs.running
    dog.doing = "two pictures"
    window.show_two_pictures(horse)
    two = window.two_pictures
    assert two is not None
    count["pages"] += 1
    yield lambda: not window.jobs.running and (not two.first.is_open or two.first.showing.has_picture)
    two.closed.emit()
    yield lambda: window.two_pictures is None
    yield from _open(window, session, count, dog)


def _held_mb() -> float:
    """What the process holds in memory now, in millions of bytes."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * getpagesize() / 1e6


def _tell(count: Counter[str], held: list[float], dog: Watchdog, bare_ms: float, took_s: float) -> None:
    say = sys.stdout.write
    done = ", ".join(f"{n} {what}" for what, n in count.items())
    say(f"{len(held)} minutes' work in {took_s:.0f} s: {done}\n")
    say("held, MB: " + " ".join(f"{mb:.0f}" for mb in held) + "\n")
    settled, largest = max(held[:SETTLED]), max(held[SETTLED:])
    growth = 100 * (largest / settled - 1)
    name = f"largest after the first {SETTLED} minutes over the largest in them ({settled:.0f} to {largest:.0f} MB)"
    _line(name, growth, "%", _AIM_PERCENT)
    second, last = fmean(held[SETTLED : 2 * SETTLED]), fmean(held[-SETTLED:])
    creep = 100 * (last / second - 1)
    _line(f"the last ten minutes over the second ({second:.0f} to {last:.0f} MB)", creep, "%", _AIM_PERCENT)
    _line(f"longest block of the window ({dog.during})", dog.longest_ms, "ms", _AIM_MS)
    _line("of that, ready and no core free", dog.no_core_ms, "ms", None)
    _line("of that, waiting for a change to be on the disk", dog.disk_ms, "ms", None)
    _line(f"of its own work ({dog.at_work_during})", dog.at_work_ms, "ms", _AIM_MS)
    _line("of a bare event loop in a process beside it", bare_ms, "ms", None)
    for doing, (at_work, passed) in sorted(dog.worst.items(), key=lambda one: one[1], reverse=True)[:_LONGEST]:
        say(f"  {at_work:4.0f} ms at work, {passed:4.0f} ms in all: {doing}\n")


def _line(name: str, figure: float, unit: str, aim: float | None) -> None:
    told = "no aim" if aim is None else f"aim {aim:g}: {'met' if figure <= aim else 'MISSED'}"
    sys.stdout.write(f"{name:<72} {figure:9.2f} {unit:<4} {told}\n")


if __name__ == "__main__":
    raise SystemExit(main())
