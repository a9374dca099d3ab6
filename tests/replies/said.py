"""What a reply was read as, in one short line, so that tables of replies can be read at a glance.

tummy_time 10 left -1 | skip asleep | see head_turn | ask later 20 | concern same_day | confirm
"""

from __future__ import annotations

from datetime import datetime

from bot.replies.reader import read_reply
from bot.replies.reading import Entry, Prompted, Reading, ReplyContext

PROMPTS = {
    "": None,
    "tummy": Prompted("tummy_time", None, 10),
    "football": Prompted("football_hold", "right", 5),
    "side": Prompted("side_lying", None, 5),
    "mouth": Prompted("hand_to_mouth", "right", 5),
}
PLAN = ("tummy_time", "lap_tummy_time", "football_hold", "side_lying", "hand_to_mouth", "supported_sitting")
WEDNESDAY_MORNING = datetime.fromisoformat("2026-03-04T10:20:00-06:00")


def context(prompt: str = "tummy", language: str = "en", affected_side: str = "right") -> ReplyContext:
    return ReplyContext(
        now=WEDNESDAY_MORNING,
        language="es" if language == "es" else "en",
        affected_side=affected_side,  # type: ignore[arg-type]
        age_weeks=14,
        plan=PLAN,
        prompt=PROMPTS[prompt],
    )


def read(text: str, prompt: str = "tummy", language: str = "en") -> Reading:
    return read_reply(text, context(prompt, language))


def said(text: str, prompt: str = "tummy", language: str = "en") -> str:
    reading = read(text, prompt, language)
    parts = [_entry(entry) for entry in reading.entries]
    if reading.skipped:
        parts.append(f"skip {reading.skipped}")
    parts += [f"see {seen.kind}" for seen in reading.observations]
    if reading.request:
        words = ["ask", reading.request.kind, reading.request.activity or ""]
        parts.append(" ".join(filter(None, [*words, _number(reading.request.minutes)])))
    if reading.concern:
        parts.append(f"concern {reading.concern.urgency}")
    if reading.confirm:
        parts.append("confirm")
    return " | ".join(parts)


def _entry(entry: Entry) -> str:
    minutes = "?" if entry.minutes is None else _number(entry.minutes)
    day = str(entry.day_offset) if entry.day_offset else ""
    return " ".join(
        filter(None, [entry.activity or "unnamed", minutes, entry.side, day, entry.at and f"@{entry.at}"])
    )


def _number(minutes: float | None) -> str:
    return "" if minutes is None else f"{minutes:g}"
