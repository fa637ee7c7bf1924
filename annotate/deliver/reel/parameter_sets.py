"""H.264 parameter sets: what a decoder must know before the first picture (ITU-T H.264, 7.3.2).

An MP4 of the kind that phones play keeps them in one record before all pictures (ISO/IEC 14496-15, avcC). A
picture names its set by number, so streams of different coders go into one file if no number means two
things.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

IDR: Final = 5
_SEQUENCE, _PICTURE, _SEQUENCE_EXTENSION = 7, 8, 13
_HIGH_PROFILES: Final = frozenset({100, 110, 122, 244, 44, 83, 86, 118, 128})
_HIGH: Final = 100
_START_CODE: Final = re.compile(rb"\x00{2,}\x01")


@dataclass(frozen=True, slots=True)
class SequenceSet:
    """What matters here of a sequence parameter set. `content`: its whole NAL unit."""

    number: int
    content: bytes
    profile: int
    constraints: int
    level: int
    eight_bit_420: bool
    progressive: bool


@dataclass(frozen=True, slots=True)
class ParameterSets:
    """The sets of one stream or, put together, of several."""

    sequences: tuple[SequenceSet, ...]
    pictures: tuple[tuple[int, bytes], ...]

    def clashes(self, other: ParameterSets) -> bool:
        """Whether a number means one thing here and another there."""
        mine = {one.number: one.content for one in self.sequences}
        my_pictures = dict(self.pictures)
        return any(mine.get(one.number, one.content) != one.content for one in other.sequences) or any(
            my_pictures.get(number, content) != content for number, content in other.pictures
        )

    def with_those_of(self, other: ParameterSets) -> ParameterSets:
        """Both together, each once."""
        return ParameterSets(
            tuple(dict.fromkeys([*self.sequences, *other.sequences])),
            tuple(dict.fromkeys([*self.pictures, *other.pictures])),
        )

    @property
    def free_numbers(self) -> tuple[int, ...]:
        """The numbers above 0 that are free for a sequence set and a picture set."""
        taken = {one.number for one in self.sequences} | {number for number, _ in self.pictures}
        return tuple(number for number in range(1, 32) if number not in taken)

    @property
    def contents(self) -> frozenset[bytes]:
        """Every set as it stands in a stream."""
        return frozenset([*(one.content for one in self.sequences), *(held for _, held in self.pictures)])

    def record(self) -> bytes:
        """The avcC record; its lengths have four bytes, its profile and level are the highest of all."""
        profile = max(one.profile for one in self.sequences)
        constraints = 0xFF
        for one in self.sequences:
            constraints &= one.constraints if one.profile == profile else 0xFF
        level = max(one.level for one in self.sequences)
        out = bytearray((1, profile, constraints, level, 0xFF, 0xE0 | len(self.sequences)))
        for one in self.sequences:
            out += len(one.content).to_bytes(2, "big") + one.content
        out.append(len(self.pictures))
        for _, content in self.pictures:
            out += len(content).to_bytes(2, "big") + content
        if profile == _HIGH:
            out += bytes((0xFC | 1, 0xF8, 0xF8, 0))
        return bytes(out)


NONE: Final = ParameterSets((), ())


def read_record(record: bytes) -> ParameterSets | None:
    """The sets of an avcC record; None if it is none, is damaged, or has lengths of other than four bytes."""
    try:
        if record[0] != 1 or record[4] & 3 != 3:
            return None
        at, sequences, pictures = 6, [], []
        for _ in range(record[5] & 31):
            unit, at = _counted(record, at)
            sequences.append(_sequence(unit))
        many, at = record[at], at + 1
        for _ in range(many):
            unit, at = _counted(record, at)
            pictures.append((_Bits(unit[1:]).unsigned(), unit))
    except (IndexError, ValueError):
        return None
    return ParameterSets(tuple(sequences), tuple(pictures)) if sequences and pictures else None


def sets_of(stream: bytes) -> ParameterSets:
    """The sets among the units of a byte stream; `ValueError` or `IndexError` if one is damaged."""
    found = list(split(stream))
    return ParameterSets(
        tuple(_sequence(unit) for unit in found if kind_of(unit) == _SEQUENCE),
        tuple((_Bits(unit[1:]).unsigned(), unit) for unit in found if kind_of(unit) == _PICTURE),
    )


def split(stream: bytes) -> Iterator[bytes]:
    """The NAL units of a byte stream, which begin after start codes (ITU-T H.264, annex B)."""
    return (unit for unit in _START_CODE.split(stream) if unit)


def units(packet: bytes) -> Iterator[bytes]:
    """The NAL units of a packet whose lengths have four bytes; `ValueError` where they do not add up."""
    at = 0
    while at < len(packet):
        length = int.from_bytes(packet[at : at + 4], "big")
        unit = packet[at + 4 : at + 4 + length]
        if not length or len(unit) != length:
            raise ValueError("the lengths of the units do not add up")
        yield unit
        at += 4 + length


def kind_of(unit: bytes) -> int:
    """What a NAL unit is: nal_unit_type."""
    return unit[0] & 31


def is_set(unit: bytes) -> bool:
    """Whether it is a parameter set."""
    return kind_of(unit) in (_SEQUENCE, _PICTURE, _SEQUENCE_EXTENSION)


def packet_of(some: Iterable[bytes]) -> bytes:
    """NAL units as one packet."""
    return b"".join(len(unit).to_bytes(4, "big") + unit for unit in some)


def _counted(record: bytes, at: int) -> tuple[bytes, int]:
    length = int.from_bytes(record[at : at + 2], "big")
    unit = record[at + 2 : at + 2 + length]
    if len(unit) != length or length < 4:
        raise ValueError("a set is cut off")
    return unit, at + 2 + length


def _sequence(unit: bytes) -> SequenceSet:
    bits = _Bits(unit[4:])
    number = bits.unsigned()
    plain = True
    if unit[1] in _HIGH_PROFILES:
        chroma = bits.unsigned()
        if chroma == 3:
            bits.skip(1)
        depths = bits.unsigned(), bits.unsigned()
        plain = chroma == 1 and depths == (0, 0)
        bits.skip(1)
        if bits.bit():
            for place in range(8 if chroma != 3 else 12):
                if bits.bit():
                    _skip_scaling(bits, 16 if place < 6 else 64)
    bits.unsigned()  # log2_max_frame_num_minus4
    order = bits.unsigned()
    if order == 0:
        bits.unsigned()
    elif order == 1:
        bits.skip(1)
        bits.unsigned(), bits.unsigned()
        for _ in range(bits.unsigned()):
            bits.unsigned()
    bits.unsigned()  # max_num_ref_frames
    bits.skip(1)
    bits.unsigned(), bits.unsigned()  # size in macroblocks
    return SequenceSet(number, unit, unit[1], unit[2], unit[3], plain, bits.bit() == 1)


def _skip_scaling(bits: _Bits, count: int) -> None:
    last = following = 8
    for _ in range(count):
        if following:
            following = (last + bits.signed()) % 256
        last = following or last


class _Bits:
    """Reads bits and Exp-Golomb numbers of a unit without its emulation prevention bytes."""

    def __init__(self, content: bytes) -> None:
        self._content = content.replace(b"\0\0\3", b"\0\0")
        self._at = 0

    def bit(self) -> int:
        value = self._content[self._at >> 3] >> (7 - (self._at & 7)) & 1
        self._at += 1
        return value

    def skip(self, count: int) -> None:
        self._at += count

    def unsigned(self) -> int:
        zeros = 0
        while not self.bit():
            zeros += 1
            if zeros > 31:
                raise ValueError("no number")
        value = 1
        for _ in range(zeros):
            value = value << 1 | self.bit()
        return value - 1

    def signed(self) -> int:
        value = self.unsigned()
        return (value + 1) // 2 if value % 2 else -(value // 2)
