"""A carer's copy as a page to read: one HTML file without scripts or links, which any phone opens.

HTML rather than PDF: it shows every script and emoji that people write with the phone's own letters, reflows on a small
screen, and is read aloud by screen readers.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from babel.dates import format_date, format_datetime

from bot.phrases import Words

NameOf = Callable[[str], str]
SECTIONS = (
    "messages", "concerns", "questions", "confidence", "minutes", "not_done", "observations", "reminders",
    "plan", "carers", "who_saw_what",
)  # fmt: skip
_STYLE = """body{font:16px/1.5 sans-serif;margin:1em auto;max-width:40em;padding:0 1em;color:#111;background:#fff}
h1{font-size:1.4em}h2{font-size:1.1em;margin-top:2em}ul{list-style:none;padding:0}
li{border-top:1px solid #999;padding:.5em 0}p.said{margin:.2em 0;white-space:pre-wrap;overflow-wrap:anywhere}"""

WHEN = ("at", "sent_at", "made_at")  # heads a row
SAID = ("text", "answer", "note", "holds")  # stand on lines of their own
LABELLED = ("version", "made_by", "edited_at", "seen_at", "answered_at", "answer", "local_date")


def copy_page(copy: Mapping[str, Any], words: Words, name_of: NameOf) -> str:
    """Return the page of a copy as bot.records.copy makes it. name_of: an activity's name in words' language."""
    made = _moment(copy["made_at"], words)
    title = words("copy.title", carer=copy["for"]["name"], nickname=copy["baby"])
    parts = [
        f"<!doctype html><html lang='{words.language}'><head><meta charset='utf-8'>",
        "<meta name='viewport' content='width=device-width,initial-scale=1'>",
        f"<title>{title}</title><style>{_STYLE}</style></head><body><h1>{title}</h1>",
        f"<p>{words('copy.made', at=made)}</p><p>{words('copy.left_out')}</p>",
    ]
    for section in SECTIONS:
        if section in copy:
            parts.append(_section(section, copy[section], words, name_of))
    return "".join([*parts, "</body></html>"])


def _section(section: str, rows: Sequence[Mapping[str, Any]], words: Words, name_of: NameOf) -> str:
    head = f"<h2>{words(f'copy.{section}')}</h2>"
    if not rows:
        return f"{head}<p>{words('copy.nothing')}</p>"
    if section == "plan":
        rows = [_plan_row(row, words, name_of) for row in rows]
    lines = "".join(f"<li>{_row(row, words, name_of)}</li>" for row in rows)
    return f"{head}<ul>{lines}</ul>"


def _plan_row(version: Mapping[str, Any], words: Words, name_of: NameOf) -> dict[str, Any]:
    """Return a plan version in short; the file of data holds it whole."""
    holds = []
    for each in version["plan"]["activities"]:
        asked = _asked(each.get("target") or {}, words)
        name = name_of(each["activity"])
        holds.append(f"{name}: {asked}" if asked else name)
    return {
        "made_at": version["made_at"],
        "version": version["version"],
        "made_by": version["made_by"],
        "note": version["note"],
        "holds": "\n".join(holds),
    }


def _asked(target: Mapping[str, Any], words: Words) -> str:
    """Return what a target asks for a day in short; empty where the activity stands in a goal alone."""
    if "minutes" in target:
        return f"{target['minutes']:g} min"
    if "times" in target:
        return (
            words.plain("plan.times", times=target["times"])
            if target["times"] > 1
            else words.plain("plan.once")
        )
    return f"{target['share_of_awake']:.0%}" if target else ""


def _row(row: Mapping[str, Any], words: Words, name_of: NameOf) -> str:
    """Return one row: when, in bold; what is short after it; what was said below."""
    when = next((row[field] for field in WHEN if row.get(field)), None)
    short, said = [], []
    for field, value in row.items():
        if value in (None, "") or field in WHEN or (field, value) == ("kind", "text"):
            continue
        if field == "local_date" and _same_day(value, when):
            continue
        shown = html.escape(_shown(field, value, words, name_of))
        if field in LABELLED:
            shown = f"{words(f'copy.field_{field}')}: {shown}"
        if field in SAID:
            said.append(f"<p class='said'>{shown}</p>")
        else:
            short.append(shown)
    head = f"<b>{html.escape(_moment(when, words))}</b>" if when else ""
    return " · ".join(filter(None, [head, *short])) + "".join(said)


def _same_day(day: str, when: str | None) -> bool:
    return when is not None and when.startswith(day)


def _moment(when: str, words: Words) -> str:
    pattern = words.plain("format.moment_with_year")
    return str(format_datetime(datetime.fromisoformat(when), pattern, locale=words.locale))


def _shown(field: str, value: object, words: Words, name_of: NameOf) -> str:
    if field == "local_date":
        return str(
            format_date(date.fromisoformat(str(value)), words.plain("format.date"), locale=words.locale)
        )
    if field.endswith("_at"):
        return _moment(str(value), words)
    if field == "activity":
        return name_of(str(value))
    if field == "minutes" and isinstance(value, int | float):
        return f"{value:g} min"
    if field == "value":
        return f"{value}/10"
    key = f"copy.value_{value}"
    return words.plain(key) if words.has(key) else str(value)
