"""The verb `highlights`: what the owner gets, as it was arranged in the window or as is said here."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

from annotate.clock import parse_seconds, seconds, shown
from annotate.deliver.choose import choose_passages
from annotate.deliver.deliver import KINDS, OWNER_KINDS, Wishes, deliver, possible_kinds, refuse_unknown
from annotate.deliver.page.choice import Arrangement
from annotate.deliver.rules import PARTS_OF_RULE, Rules, only
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.errors import Trouble
from annotate.passages import Passage
from app.delivering import arrangement_of, for_owner, material_of, rules_of, with_all_sessions
from app.printing import print_json, print_line
from app.stopping import stoppable
from store.barn import Barn

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked to be other than it was arranged; None and empty: as it was.

    `order`: passages by their number in the list, the others are left out; `captions`: by number.
    """

    rule: Sequence[str] | None = None
    least_severity: int | None = None
    lead_in_ns: int | None = None
    lead_out_ns: int | None = None
    fit_ns: int | None = None
    merge: bool | None = None
    order: Sequence[int] = ()
    captions: Mapping[int, str] = field(default_factory=dict)
    compared_with: int | None = None


AS_ARRANGED = Asked()


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written, and the passages in them; `by_rule` if the rule chose them."""

    files: tuple[Path, ...]
    passages: tuple[Passage, ...]
    by_rule: bool


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    highlights = verbs.add_parser("highlights", help="the highlight list as files for the owner")
    highlights.add_argument("session", metavar="SESSION")
    highlights.add_argument("--to", metavar="FOLDER", type=Path, required=True)
    highlights.add_argument(
        "--as",
        metavar="KINDS",
        dest="kinds",
        help=f"{','.join(KINDS)}, joined by commas; all that can be made if not given",
    )
    highlights.add_argument(
        "--rule",
        metavar="PARTS",
        nargs="?",
        const="",
        help=f"let the rule choose though passages are marked; of {','.join(PARTS_OF_RULE)} those named",
    )
    highlights.add_argument(
        "--severity", metavar="N", type=int, choices=range(1, 5), help="the mildest reaction the rule takes"
    )
    highlights.add_argument("--lead-in", metavar="SECONDS", help="shown before each passage")
    highlights.add_argument("--lead-out", metavar="SECONDS", help="shown after each passage")
    highlights.add_argument("--fit", metavar="SECONDS", help="what all passages together may last")
    highlights.add_argument(
        "--merge", action=argparse.BooleanOptionalAction, help="passages that overlap become one"
    )
    highlights.add_argument(
        "--order", metavar="N,N", help="these passages of the list, in this order; the others are left out"
    )
    highlights.add_argument(
        "--caption", metavar="N=WORDS", action="append", default=[], help="another caption for passage N"
    )
    highlights.add_argument("--captions", action="store_true", help="draw the captions into the reel")
    highlights.add_argument("--work-line", action="store_true", help="draw the work line into the reel")
    highlights.add_argument(
        "--compare-with", metavar="SESSION", help="an earlier session, beside this one on the page"
    )
    highlights.add_argument("--json", action="store_true")
    highlights.set_defaults(does=_highlights)


def write_highlights(
    barn: Barn,
    session_id: int,
    kinds: Sequence[str] | None,
    folder: Path,
    *,
    wishes: Wishes | None = None,
    watch: Watch = UNWATCHED,
    asked: Asked = AS_ARRANGED,
) -> Written:
    """Writes a session's highlight list as it was arranged in the window, if it was.

    Where nothing is marked, the passages are chosen by rule. `kinds` None: all that can be made of it;
    `wishes` None: the reel as it was arranged.
    """
    if kinds is not None:
        refuse_unknown(kinds)
    arrangement = arrangement_of(barn, session_id) or Arrangement()
    passages = barn.passages(session_id)
    by_rule = asked.rule is not None or not passages
    if by_rule:
        passages = _chosen(barn, session_id, asked)
        arrangement = replace(
            arrangement, left_out=frozenset(), lead_in_ns=0, lead_out_ns=0, fit_ns=None, merge=False
        )
    else:
        arrangement = _other(arrangement, asked)
    if not passages and (kinds is None or not OWNER_KINDS.issuperset(kinds)):
        raise Trouble(
            "There is nothing to show yet: tag a reaction, a lope or an exposure for the rule to choose from, "
            "or mark passages on the desk."
        )
    if asked.order:
        arrangement = replace(arrangement, left_out=frozenset())
    if asked.compared_with is not None:
        arrangement = replace(arrangement, compared_with=asked.compared_with)
    material = material_of(barn, session_id, _named_and_ordered(passages, asked))
    material = for_owner(barn, material, arrangement)
    wanted = tuple(kinds) if kinds is not None else possible_kinds(material)
    if "series" in wanted:
        material = with_all_sessions(barn, material)
    drawn = wishes if wishes is not None else Wishes(arrangement.captions, arrangement.work_line)
    files = deliver(material, wanted, folder, wishes=drawn, watch=watch)
    return Written(tuple(files), material.passages, by_rule)


def _chosen(barn: Barn, session_id: int, asked: Asked) -> tuple[Passage, ...]:
    return tuple(
        choose_passages(
            barn.session(session_id), barn.tags(session_id), barn.sheet(), _rules(rules_of(barn), asked)
        )
    )


def _rules(kept: Rules, asked: Asked) -> Rules:
    """The barn's rules, with what is asked to be other."""
    rules = replace(
        kept,
        least_severity=_or(asked.least_severity, kept.least_severity),
        lead_in_ns=_or(asked.lead_in_ns, kept.lead_in_ns),
        lead_out_ns=_or(asked.lead_out_ns, kept.lead_out_ns),
        total_ns=_or(asked.fit_ns, kept.total_ns),
    )
    return only(rules, asked.rule) if asked.rule else rules


def _other(arrangement: Arrangement, asked: Asked) -> Arrangement:
    return replace(
        arrangement,
        lead_in_ns=_or(asked.lead_in_ns, arrangement.lead_in_ns),
        lead_out_ns=_or(asked.lead_out_ns, arrangement.lead_out_ns),
        fit_ns=_or(asked.fit_ns, arrangement.fit_ns),
        merge=_or(asked.merge, arrangement.merge),
    )


def _or(asked: Value | None, kept: Value) -> Value:
    return kept if asked is None else asked


def _named_and_ordered(passages: Sequence[Passage], asked: Asked) -> list[Passage]:
    """With the captions and in the order asked for; raises `Trouble` for a number that is not in the list."""
    for number in (*asked.order, *asked.captions):
        if not 1 <= number <= len(passages):
            raise Trouble(f"There is no passage {number}: the list has {len(passages)}.")
    named = [
        replace(passage, caption=asked.captions.get(number, passage.caption))
        for number, passage in enumerate(passages, 1)
    ]
    ordered = [named[number - 1] for number in dict.fromkeys(asked.order)] if asked.order else named
    return [replace(passage, position=place) for place, passage in enumerate(ordered)]


def _highlights(asked: argparse.Namespace) -> None:
    kinds = _parts(asked.kinds) if asked.kinds is not None else None
    drawn_in = asked.captions or asked.work_line
    wishes = Wishes(asked.captions, asked.work_line) if drawn_in else None
    said: list[str] = []
    with Barn.open(asked.barn) as barn, stoppable() as is_cancelled:
        session_id = barn.find_session(asked.session)
        written = write_highlights(
            barn,
            session_id,
            kinds,
            asked.to,
            wishes=wishes,
            watch=Watch(_progress(), is_cancelled, said.append),
            asked=_asked(barn, asked),
        )
    if asked.json:
        print_json(_as_json(written, said))
        return
    if written.by_rule:
        print_line("Chosen by rule:" if asked.rule is not None else "Nothing was marked; chosen by rule:")
    for number, passage in enumerate(written.passages, 1):
        print_line(f"{number}. {passage.caption}")
    for words in said:
        print_line(words)
    for path in written.files:
        print_line(f"Written: {path}")


def _asked(barn: Barn, asked: argparse.Namespace) -> Asked:
    rule = _parts(asked.rule) if asked.rule is not None else None
    for part in rule or ():
        if part not in PARTS_OF_RULE:
            raise Trouble(f"The rule chooses {', '.join(PARTS_OF_RULE)}, not {shown(part)}.")
    return Asked(
        rule=rule,
        least_severity=asked.severity,
        lead_in_ns=_length(asked.lead_in),
        lead_out_ns=_length(asked.lead_out),
        fit_ns=_fit(asked.fit),
        merge=asked.merge,
        order=[_number(one) for one in _parts(asked.order or "")],
        captions=dict(_caption(one) for one in asked.caption),
        compared_with=barn.find_session(asked.compare_with) if asked.compare_with else None,
    )


def _fit(text: str | None) -> int | None:
    fit_ns = _length(text)
    if fit_ns == 0:
        raise Trouble("Nothing fits into 0 s. Write how many seconds all passages together may last.")
    return fit_ns


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _length(text: str | None) -> int | None:
    if text is None:
        return None
    ns = parse_seconds(text)
    if ns < 0:
        raise Trouble(f"{shown(text)} is less than nothing. Write a number of seconds.")
    return ns


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise Trouble(f"{shown(text)} is not the number of a passage. Write the order like 3,1,2.")
    return int(text[:9])


def _caption(text: str) -> tuple[int, str]:
    number, sign, words = text.partition("=")
    if not sign:
        raise Trouble(f"Write a caption like 2=Quiet at the flag, not {shown(text)}.")
    return _number(number.strip()), words.strip()


def _progress() -> Callable[[int, int], None] | None:
    """Tells a person at a terminal how far it is; nobody else."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, of: int) -> None:
        if of:
            sys.stderr.write(f"\r{done} of {of}" + (" \n" if done == of else " "))
            sys.stderr.flush()

    return tell


def _as_json(written: Written, said: Sequence[str]) -> dict[str, Any]:
    return {
        "by_rule": written.by_rule,
        "highlights": [
            {
                "number": number,
                "caption": passage.caption,
                "start_s": seconds(passage.start_ns),
                "end_s": seconds(passage.end_ns),
            }
            for number, passage in enumerate(written.passages, 1)
        ],
        "said": list(said),
        "files": [str(path) for path in written.files],
    }
