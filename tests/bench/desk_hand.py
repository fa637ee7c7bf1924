"""The scripted hand at the desk: real key events, no mouse, and a watchdog beside it.

It presses what a person would have to press: what the desk does by itself is not pressed.
"""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import QEventLoop, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.engine.interfaces import DBAPIConnection

from annotate.behaviours import GAIT, LEAD, REIN, SIGHT, STIMULUS, TURN, Sheet
from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.desk import Desk
from app.main_window import MainWindow
from app.review import Review
from app.warming import leave_alone
from tests.app.hands import tap

STRAY_NS = 1_000_000  # the list's nine decimals beside the clip's own fractions
_MS = 1000
_TICK_MS = 2
_SCHEDULED = Path("/proc/thread-self/schedstat")  # nanoseconds on a core, nanoseconds waiting for one, turns
_TOLD = _SCHEDULED.exists()


@dataclass
class Count:
    """What the hand did: for each moment its time and the keys of each thing said; the tags that came of it."""

    moments: list[tuple[int, list[int]]] = field(default_factory=list)
    chords: int = 0
    strokes: int = 0


class Watchdog:
    """Notes the longest time in which the window's thread did not come round, and what was done then.

    Once on the wall's clock, where everything else that runs on the machine counts, and once by the time that
    the thread itself was at work. Of the first, how long it was ready and no core was free, 0 where the system does
    not tell; and how long it waited for the barn's file to be on the disk.
    """

    def __init__(self) -> None:
        self.longest_ms, self.during, self.no_core_ms, self.disk_ms = 0.0, "", 0.0, 0.0
        self.at_work_ms, self.at_work_during = 0.0, ""
        self._disk = _Disk()
        self._disk.begin()
        self.worst: dict[str, tuple[float, float]] = {}
        """For each thing that was done its longest time at work, and the wall's clock then."""
        self.restart("")
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)
        self._timer.start(_TICK_MS)

    def restart(self, doing: str) -> None:
        """From now on."""
        self.doing = doing
        self._last, self._worked, self._waited_ms = time.perf_counter(), time.thread_time(), _waited_for_core_ms()
        self._disk_s = self._disk.waited_s

    def stop(self) -> None:
        """No longer."""
        self._timer.stop()

    def _tick(self) -> None:
        now, worked = time.perf_counter(), time.thread_time()
        passed, at_work = (now - self._last) * _MS - _TICK_MS, (worked - self._worked) * _MS
        waited = _waited_for_core_ms()
        if passed > self.longest_ms:
            self.longest_ms, self.during, self.no_core_ms = passed, self.doing, waited - self._waited_ms
            self.disk_ms = (self._disk.waited_s - self._disk_s) * _MS
        self._last, self._worked, self._waited_ms, self._disk_s = now, worked, waited, self._disk.waited_s
        if at_work > self.worst.get(self.doing, (0.0, 0.0))[0]:
            self.worst[self.doing] = (at_work, passed)
        if at_work > self.at_work_ms:
            self.at_work_ms, self.at_work_during = at_work, self.doing


class _Disk:
    """How long the window's thread has waited for changes of barns to be on the disk."""

    def __init__(self) -> None:
        self.waited_s = 0.0

    def begin(self) -> None:
        """From now on every commit of that thread counts, less what it was at work in it, or ready and no core free."""
        usual = DefaultDialect.do_commit

        def commit(dialect: DefaultDialect, connection: DBAPIConnection) -> None:
            begun = _neither_at_work_nor_ready_s()
            usual(dialect, connection)
            if threading.current_thread() is threading.main_thread():
                self.waited_s += _neither_at_work_nor_ready_s() - begun

        DefaultDialect.do_commit = commit  # type: ignore[method-assign]


def _neither_at_work_nor_ready_s() -> float:
    return time.perf_counter() - time.thread_time() - _waited_for_core_ms() / _MS


def _waited_for_core_ms() -> float:
    """How long this thread has been ready to run while others had the cores."""
    return int(_SCHEDULED.read_text(encoding="ascii").split()[1]) / 1e6 if _TOLD else 0.0


_BARE_LOOP = """
import sys, time
from PySide6.QtCore import QCoreApplication, QSocketNotifier, QTimer, Qt
app = QCoreApplication([])
last, longest = time.perf_counter(), 0.0
def tick():
    global last, longest
    now = time.perf_counter()
    longest, last = max(longest, now - last), now
timer = QTimer(timerType=Qt.TimerType.PreciseTimer)
timer.timeout.connect(tick)
timer.start(%d)
told = QSocketNotifier(0, QSocketNotifier.Type.Read)
told.activated.connect(app.quit)
app.exec()
print(longest * 1000)
"""


class BareLoop:
    """A Qt event loop with nothing to do, in a process of its own: how long the machine alone holds one up."""

    def __init__(self) -> None:
        command = [sys.executable, "-c", _BARE_LOOP % _TICK_MS]
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def stop(self) -> float:
        """Ends it; the longest time, in milliseconds, in which it did not come round."""
        told, _ = self._process.communicate()
        return float(told) - _TICK_MS


def run(steps: Iterator[Callable[[], bool]]) -> None:
    """Takes the steps in the event loop; each says what it waits for.

    No hand is so quick that it presses in the very turn in which what it waits for has come: a turn lies between.
    """
    loop, timer = QEventLoop(), QTimer()
    waits: list[Callable[[], bool]] = [lambda: True]
    has_come = False
    failed: list[BaseException] = []

    def go_on() -> None:
        nonlocal has_come
        try:
            came_before, has_come = has_come, waits[0]()
            if came_before and has_come:
                waits[0], has_come = next(steps), False
        except StopIteration:
            loop.quit()
        except BaseException as error:
            failed.append(error)
            loop.quit()

    timer.timeout.connect(go_on)
    timer.start(0)
    loop.exec()
    timer.stop()
    if failed:
        raise failed[0]


def pages_made(window: MainWindow, dog: Watchdog) -> Iterator[Callable[[], bool]]:
    """The pages, one by one, as the program makes them when nobody has asked for them yet."""
    dog.restart("making a page")
    while window.make_next_page():
        yield lambda: True
    leave_alone()


def whole(
    window: MainWindow, session_id: int, truth: tuple[Tag, ...], count: Count, dog: Watchdog
) -> Iterator[Callable[[], bool]]:
    """Opens the session, tags it, plays and looks about."""
    yield from pages_made(window, dog)
    desk = window.desk
    dog.doing = "opening the session"
    window.open_session(session_id)
    yield lambda: desk.showing.has_picture
    yield lambda: not window.jobs.running
    tap(desk, "Escape")
    for moment_ns in sorted({at for tag in truth for at in (tag.start_ns, tag.end_ns) if at is not None}):
        dog.doing = f"going to {moment_ns / NS_PER_S:.1f} s"
        yield from _go(desk, moment_ns)
        yield from _tag(desk, truth, moment_ns, count, dog)
    tap(desk, "End")
    yield lambda: desk.showing.has_picture
    for key in ("Home", "+", "+", "Space"):
        dog.doing = f"playing at 2 x, {key}"
        tap(desk, key)
        yield lambda: True
    dog.doing = "playing at 2 x"
    begun = time.perf_counter()
    yield lambda: time.perf_counter() - begun > 5
    tap(desk, "Space")
    for key in ("Ctrl+Up", "Ctrl+Up", "Ctrl+Up", "Ctrl+Home", "Down", "Alt+Right", "Alt+Left", "Ctrl+Z", "Ctrl+Z"):
        dog.doing = key
        tap(desk, key)
        yield lambda: True
    for key in ("F1", "F1", "Ctrl+E", "Escape", "F9", "Escape"):
        dog.doing = key
        focus = window.focusWidget()
        tap(focus if focus is not None else window, key)
        yield lambda: True
    desk.setFocus()


def _go(desk: Desk, ns: int) -> Iterator[Callable[[], bool]]:
    review = desk.review
    assert review is not None
    wanted = review.footage.at(ns + STRAY_NS)
    desk.showing.go_to(wanted.moment.ns)
    yield lambda: desk.showing.shown == wanted


def _tag(
    desk: Desk, truth: tuple[Tag, ...], ns: int, count: Count, dog: Watchdog
) -> Iterator[Callable[[], bool]]:
    """Presses what is needed where the picture stands: what the desk does by itself is not pressed."""
    review = desk.review
    assert review is not None
    said: list[int] = []
    at_ns = desk.showing.shown.moment.ns
    for tag in sorted((tag for tag in truth if tag.start_ns == ns), key=lambda one: _turn(review.sheet, one)):
        begun = {on.what for on in review.states_at(at_ns) if abs(on.start_ns - at_ns) <= STRAY_NS}
        if tag.is_state and tag.what in begun:
            continue
        said.append(_press(desk, review.sheet[tag.what].key, count, dog))
        yield lambda: True
        yield from _say(desk, review, tag, count, dog, said)
    for tag in (tag for tag in truth if tag.end_ns == ns and ns < review.session.end_ns):
        if any(on.what == tag.what and on.start_ns < at_ns for on in review.states_at(at_ns)):
            said.append(_press(desk, review.sheet[tag.what].key, count, dog))
            yield lambda: True
    if said:
        count.moments.append((ns, said))


def _say(
    desk: Desk, review: Review, tag: Tag, count: Count, dog: Watchdog, said: list[int]
) -> Iterator[Callable[[], bool]]:
    """Severity, stimulus and side, where the desk did not take them from what is on."""
    made = review.selected
    assert made is not None
    is_stimulus = review.sheet[tag.what].group == STIMULUS
    if tag.severity is not None and made.severity != tag.severity:
        said.append(_press(desk, str(tag.severity), count, dog))
        yield lambda: True
    if tag.stimulus and not is_stimulus and made.stimulus != tag.stimulus:
        strokes = _press(desk, "Z", count, dog)
        yield lambda: isinstance(QApplication.activePopupWidget(), QMenu)
        menu = QApplication.activePopupWidget()
        assert isinstance(menu, QMenu)
        words = [word for word, _ in (("", ""), *review.stimuli())]
        letter = menu.actions()[words.index(tag.stimulus)].text()[1]
        dog.doing = f"choosing {tag.stimulus}"
        QTest.keyClick(menu, letter)
        count.chords, count.strokes = count.chords + 1, count.strokes + 1
        said.append(strokes + 1)
        yield lambda: QApplication.activePopupWidget() is None
    if tag.side and made.side != tag.side:
        said.append(_press(desk, "Shift+Q" if tag.side == "left" else "Shift+P", count, dog))
        yield lambda: True


def _press(desk: Desk, key: str, count: Count, dog: Watchdog) -> int:
    """Presses a key; how many keystrokes that are."""
    dog.doing = f"pressing {key}"
    tap(desk, key)
    strokes = key.count("+") + 1
    count.chords, count.strokes = count.chords + 1, count.strokes + strokes
    return strokes


def _turn(sheet: Sheet, tag: Tag) -> int:
    """In which order things are pressed that begin at one instant: a turn flips the rein."""
    order = (TURN, SIGHT, GAIT, REIN, LEAD, STIMULUS)
    group = sheet[tag.what].group
    return order.index(group) if group in order else len(order)
