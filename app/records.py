"""What the programme's pages and verbs read from the barn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from annotate.programme.standing import Standing, standing
from annotate.programme.today import Today, today
from annotate.programme.work import Record, record_of
from app.figures import limits_of
from store.barn import Barn


def record(barn: Barn, horse: str, cancelled: Callable[[], bool] = lambda: False) -> Record:
    """All sessions of a horse with their tags."""
    read = []
    for row in barn.sessions(horse):
        if cancelled():
            break
        read.append((barn.session(row.id), barn.tags(row.id)))
    return record_of(horse, read, barn.sheet(), limits_of(barn))


def horse_standing(barn: Barn, horse: str) -> Standing:
    """Where a horse stands in the barn's programme. Raises `BarnTrouble` for an unknown horse."""
    name = barn.horse(horse).name
    return standing(record(barn, name), barn.programme().read, barn.sheet())


def mornings(
    barn: Barn,
    day: date,
    on_progress: Callable[[int, int], None] = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
    on_horse: Callable[[Today], None] = lambda one: None,
) -> Sequence[Today]:
    """The morning's list: every horse of the barn, by name; `on_horse` is given each as soon as it is known."""
    programme, sheet = barn.programme().read, barn.sheet()
    horses = barn.horses()
    listed = []
    for done, horse in enumerate(horses, 1):
        if cancelled():
            break
        read = record(barn, horse.name, cancelled)
        listed.append(today(read, standing(read, programme, sheet), day))
        on_horse(listed[-1])
        on_progress(done, len(horses))
    return listed
