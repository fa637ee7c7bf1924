"""What a clip is, told to a person and to a program.

All times are on the clip's own clock: raw pts x time base, in seconds.
"""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction
from typing import Any

from annotate.media.clip import ClipFacts
from annotate.media.opening import name_of


def facts_for_person(facts: ClipFacts) -> list[tuple[str, str]]:
    """The facts as (label, text), in the order in which to show them."""
    table = facts.table
    spacing = "constant" if table.is_constant else "variable"
    rows = [
        ("clip", name_of(facts.path)),
        ("container", facts.container),
        ("codec", facts.codec),
        ("stored size", _size(facts.coded_size)),
        ("shown size", _size(facts.shown_size)),
        ("rotation", _rotation(facts)),
        ("pixel shape", "square" if facts.pixel_shape == 1 else _fraction(facts.pixel_shape)),
        ("frames", str(len(table))),
        ("first frame", f"{float(table.time(0)):.6f} s"),
        ("last frame", f"{float(table.time(len(table) - 1)):.6f} s"),
        ("end", f"{float(table.end_pts * table.time_base):.6f} s"),
        ("rate", f"{_plain(facts.rate)} frames per second, {spacing}"),
        ("sound", _sound(facts)),
        ("recorded", _when(facts.recorded_at)),
    ]
    speed = capture_speed_hint(facts)
    if speed is not None and facts.capture_rate is not None:
        filmed = f"filmed at {_plain(facts.capture_rate)} frames per second"
        rows.append(("slow motion", f"{filmed}: capture speed {_plain(speed)}"))
    return rows


def facts_as_json(facts: ClipFacts, *, frames: bool = False) -> dict[str, Any]:
    """The facts as JSON values; with `frames` every frame's time as an exact fraction of a second."""
    table = facts.table
    sound = facts.sound
    speed = capture_speed_hint(facts)
    told: dict[str, Any] = {
        "clip": name_of(facts.path),
        "container": facts.container,
        "codec": facts.codec,
        "coded_size": list(facts.coded_size),
        "shown_size": list(facts.shown_size),
        "rotation": facts.rotation,
        "mirrored": facts.mirrored,
        "pixel_shape": _fraction(facts.pixel_shape),
        "frames": len(table),
        "first_s": float(table.time(0)),
        "last_s": float(table.time(len(table) - 1)),
        "end_s": float(table.end_pts * table.time_base),
        "time_base": _fraction(table.time_base),
        "rate": "constant" if table.is_constant else "variable",
        "frames_per_second": float(facts.rate),
        "sound": sound
        and {
            "codec": sound.codec,
            "rate": sound.rate,
            "channels": sound.channels,
            "first_s": None if sound.first is None else float(sound.first),
        },
        "recorded_at": facts.recorded_at and facts.recorded_at.isoformat(),
        "capture_frames_per_second": facts.capture_rate and float(facts.capture_rate),
        "capture_speed": speed and float(speed),
    }
    if frames:
        told["frame_times"] = [_fraction(pts * table.time_base) for pts in table.pts_array.tolist()]
    return told


def capture_speed_hint(facts: ClipFacts) -> Fraction | None:
    """How many times slower than life the clip plays, if the file says it was filmed faster; else None.

    Cameras state the filming rate only roughly, so the hint is rounded to a whole number, and is one for
    a person to confirm.
    """
    if facts.capture_rate is None:
        return None
    speed = round(facts.capture_rate / facts.rate)
    return Fraction(speed) if speed > 1 else None


def _rotation(facts: ClipFacts) -> str:
    turned = "upright" if facts.rotation == 0 else f"turned {facts.rotation} degrees clockwise"
    return f"mirrored, {turned}" if facts.mirrored else turned


def _sound(facts: ClipFacts) -> str:
    if facts.sound is None:
        return "none"
    channels = "1 channel" if facts.sound.channels == 1 else f"{facts.sound.channels} channels"
    return f"{facts.sound.codec}, {facts.sound.rate} Hz, {channels}"


def _when(at: datetime | None) -> str:
    return "not stated" if at is None else at.isoformat(sep=" ", timespec="seconds")


def _size(size: tuple[int, int]) -> str:
    return f"{size[0]} x {size[1]}"


def _plain(value: Fraction) -> str:
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


def _fraction(value: Fraction) -> str:
    return f"{value.numerator}/{value.denominator}"
