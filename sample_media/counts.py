"""The numbers of a rendered session, counted straight from its frames and its scenario, without
the program that they will be compared with. Seconds are sums of frame intervals in whole ns."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import pairwise

from .scenario import Scenario
from .truth import RANK, FilmedClip, first_frame, landings_of, passings_of, rein_of, turns_of


def numbers_of(scenario: Scenario, clips: list[FilmedClip]) -> dict[str, object]:
    """Everything that is counted, ready for JSON."""
    gait: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    hidden = length = 0
    turns = {"turn_in": 0, "turn_out": 0, "unseen": 0}
    for clip in clips:
        times = [f.session_ns for f in clip.frames] + [clip.end_ns]
        length += times[-1] - times[0]
        for f, a, b in zip(clip.frames, times, times[1:], strict=False):
            if not f.visible:
                hidden += b - a
                continue
            gait[f.truth.gait]["all"] += b - a
            gait[f.truth.gait][rein_of(f) or "no_rein"] += b - a
        for flip, kind in turns_of(scenario, clip):
            turns[kind if flip.visible else "unseen"] += 1
    reactions = _reactions(scenario, clips)
    count: dict[str, dict[str, int]] = {
        k: defaultdict(int) for k in ("kind", "severity", "rein", "stimulus")
    }
    for r in reactions:
        for k, per in count.items():
            per[str(r[k]) or "none"] += 1
    left = sum(per["left_rein"] for per in gait.values())
    right = sum(per["right_rein"] for per in gait.values())

    def s(ns: int) -> float:
        return ns / 1e9

    return {
        "session": {"key": scenario.key, "horse": scenario.horse.name, "date": scenario.date},
        "seconds": {
            "length": s(length),
            "out_of_sight": s(hidden),
            "visible": s(length - hidden),
            "left_rein": s(left),
            "right_rein": s(right),
        },
        "gait": {
            g: {
                "seconds": s(per["all"]),
                "left_s": s(per["left_rein"]),
                "right_s": s(per["right_rein"]),
            }
            for g, per in gait.items()
        },
        "turns": turns,
        "reactions": {"count": len(reactions), **{f"by_{k}": v for k, v in count.items()}},
        "recoveries": reactions,
        "cues": _cues(scenario, clips),
        "exposures": _exposures(scenario, clips, reactions),
        **({} if scenario.mark_deg is None else {"laps": _laps(scenario, clips)}),
        **({"strides": _strides(scenario, clips)} if scenario.taps else {}),
    }


def _reactions(scenario: Scenario, clips: list[FilmedClip]) -> list[dict[str, object]]:
    """Each seen reaction and how its recovery ended: calm, or cut short by what came first."""
    out: list[dict[str, object]] = []
    for clip in clips:
        seen = []
        for r in scenario.reactions:
            f = first_frame(clip, r.at_s)
            if f is not None and f.visible:
                seen.append((f, r))
        for f, r in seen:
            later = clip.frames[f.number + 1 :]
            ends = [(clip.end_ns, "clip end")]
            ends += [(g.session_ns, "next reaction") for g, _ in seen if g.number > f.number]
            ends += [(g.session_ns, "out of sight") for g in later if not g.visible][:1]
            if r.calm_s is not None and (c := first_frame(clip, r.calm_s)) is not None:
                ends.append((c.session_ns, "calm"))
            end, why = min(ends)
            out.append(
                {
                    "at_s": f.session_ns / 1e9,
                    "kind": r.kind,
                    "severity": r.severity,
                    "stimulus": r.stimulus,
                    "gait": f.truth.gait,
                    "rein": rein_of(f) or "none",
                    "lasted_s": (end - f.session_ns) / 1e9,
                    "ended_by": why,
                    "cut_short": why != "calm",
                }
            )
    return out


def _cues(scenario: Scenario, clips: list[FilmedClip]) -> list[dict[str, object]]:
    """Each cue, when its sound begins, and the answer: the next change to a faster gait."""
    out: list[dict[str, object]] = []
    for clip in clips:
        for cue in scenario.cues:
            f = first_frame(clip, cue.at_s)
            if f is None:
                continue
            before, answer = f, None
            for g in clip.frames[f.number + 1 :]:
                if g.truth.gait != before.truth.gait:
                    faster = RANK[g.truth.gait] > RANK[before.truth.gait]
                    answer = g if faster or g.truth.gait == "back" else None
                    break
                before = g
            out.append(
                {
                    "what": cue.what,
                    "at_s": f.session_ns / 1e9,
                    "sound_s": cue.at_s,
                    "answer": answer.truth.gait if answer else None,
                    "answer_s": answer.session_ns / 1e9 if answer else None,
                    "response_s": (answer.session_ns - f.session_ns) / 1e9 if answer else None,
                }
            )
    return out


def _exposures(
    scenario: Scenario, clips: list[FilmedClip], reactions: list[dict[str, object]]
) -> list[dict[str, object]]:
    out: list[dict[str, object]] = []
    for clip in clips:
        for e in scenario.exposures:
            a, b = first_frame(clip, e.start_s), first_frame(clip, e.end_s)
            if a is None:
                continue
            start = a.session_ns / 1e9
            end = (clip.end_ns if b is None else b.session_ns) / 1e9
            worst = [
                int(str(r["severity"]))
                for r in reactions
                if start <= float(str(r["at_s"])) < end and r["stimulus"] == e.stimulus
            ]
            out.append(
                {
                    "stimulus": e.stimulus,
                    "side": e.side,
                    "start_s": start,
                    "end_s": end,
                    "reactions": len(worst),
                    "worst": max(worst, default=0),
                }
            )
    return out


def _laps(scenario: Scenario, clips: list[FilmedClip]) -> list[dict[str, object]]:
    """Each whole round: how long it took, in which gait, and how many metres the horse went."""
    out: list[dict[str, object]] = []
    for clip in clips:
        passings = passings_of(scenario, clip)
        for one, other in pairwise(passings):
            frames = clip.frames[one.number : other.number + 1]
            gaits = {f.truth.gait for f in frames[:-1]}
            metres = sum(
                math.hypot(b.truth.x_m - a.truth.x_m, b.truth.y_m - a.truth.y_m)
                for a, b in pairwise(frames)
            )
            out.append(
                {
                    "start_s": one.session_ns / 1e9,
                    "seconds": (other.session_ns - one.session_ns) / 1e9,
                    "gait": gaits.pop() if len(gaits) == 1 else "mixed",
                    "rein": rein_of(one),
                    "metres": round(metres, 3),
                }
            )
    return out


def _strides(scenario: Scenario, clips: list[FilmedClip]) -> list[dict[str, object]]:
    """Each tapped stretch: its gait, its taps, and the strides a second that were drawn meanwhile."""
    out: list[dict[str, object]] = []
    for clip in clips:
        for taps in landings_of(scenario, clip):
            frames = clip.frames[taps[0].number : taps[-1].number]
            drawn = sum(f.truth.stride_hz for f in frames) / len(frames)
            out.append(
                {
                    "gait": taps[0].truth.gait,
                    "taps": len(taps),
                    "start_s": taps[0].session_ns / 1e9,
                    "end_s": taps[-1].session_ns / 1e9,
                    "drawn_per_s": round(drawn, 4),
                }
            )
    return out
