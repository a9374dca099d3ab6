"""What the reader of signs is given, and what it finds: plain values, no rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Urgency = Literal["act_now", "same_day", "tell_therapist"]
URGENCIES: tuple[Urgency, ...] = ("act_now", "same_day", "tell_therapist")  # the most urgent first
LEARNED = "learned"
"""The topic of what the learned reader alone holds for trouble, and no rule names."""


@dataclass(frozen=True, slots=True)
class Concern:
    """What was read from a message as a concern. topics: ids of the signs found, the most urgent first, none twice."""

    urgency: Urgency
    topics: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the text, as offsets in the string that was given: start included, end not."""

    start: int
    end: int


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Return stretches in order, those that meet as one."""
    out: list[Span] = []
    for span in sorted(spans, key=lambda each: (each.start, each.end)):
        if out and span.start <= out[-1].end:
            out[-1] = Span(out[-1].start, max(span.end, out[-1].end))
        else:
            out.append(span)
    return tuple(out)


@dataclass(frozen=True, slots=True)
class Findings:
    """What the signs say of one message.

    concern: None where nothing raises one.
    unclear: signs that neither stand nor are plainly denied; the carer is asked about them at once.
    hinted: signs that are told by concept alone, or None: they raise where the learned reader agrees.
    exact: everything raised is of signs whose urgency follows from a table, and hardly anything else is said.
    explained: words of the message may explain what is raised (`words_calm.toml`); that alone takes nothing back.
    seen: the names of the signs found, each with how it stands ("fit stands"), for the learned reader.
    spans: the parts of the text that the signs (raised, unclear, denied or someone else's) account for, so that
        nothing else is read from them (a temperature is no minutes).
    """

    concern: Concern | None
    unclear: Concern | None
    spans: tuple[Span, ...]
    hinted: Concern | None = None
    seen: frozenset[str] = frozenset()
    exact: bool = False
    explained: bool = False


@dataclass(frozen=True, slots=True)
class Evidence:
    """Why: one sign, its urgency here (None: a hint), how it stands ("stands", "denied", "others" …), and its words."""

    sign: str
    urgency: Urgency | None
    standing: str
    words: str
