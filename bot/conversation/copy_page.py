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
    "messages", "worries", "questions", "confidence", "minutes", "not_done", "observations", "reminders",
    "plan", "carers", "who_saw_what",
)  # fmt: skip
_STYLE = """body{font:16px/1.5 sans-serif;margin:1em auto;max-width:46em;padding:0 1em;color:#111;background:#fff}
h1{font-size:1.4em}h2{font-size:1.1em;margin-top:2em}table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;border-bottom:1px solid #999;padding:.3em .5em .3em 0}
td{white-space:pre-wrap;overflow-wrap:anywhere}"""


def copy_page(copy: Mapping[str, Any], words: Words, name_of: NameOf) -> str:
    """Return the page of a copy as bot.records.copy makes it. name_of: an activity's name in words' language."""
    made = format_datetime(datetime.fromisoformat(copy["made_at"]), "long", locale=words.language)
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
        rows = [_plan_row(row, name_of) for row in rows]
    fields = [field for field in rows[0] if any(row.get(field) not in (None, "") for row in rows)]
    heads = "".join(f"<th scope='col'>{words(f'copy.field_{field}')}</th>" for field in fields)
    lines = [
        "<tr>"
        + "".join(f"<td>{_cell(field, row.get(field), words, name_of)}</td>" for field in fields)
        + "</tr>"
        for row in rows
    ]
    return f"{head}<table><tr>{heads}</tr>{''.join(lines)}</table>"


def _plan_row(version: Mapping[str, Any], name_of: NameOf) -> dict[str, Any]:
    """Return a plan version in short; the file of data holds it whole."""
    holds = []
    for each in version["plan"]["activities"]:
        minutes = each["target"].get("minutes")
        asked = f"{minutes:g} min" if minutes is not None else f"{each['target']['share_of_awake']:.0%}"
        holds.append(f"{name_of(each['activity'])}: {asked}")
    return {
        "version": version["version"],
        "made_at": version["made_at"],
        "made_by": version["made_by"],
        "note": version["note"],
        "holds": "\n".join(holds),
    }


def _cell(field: str, value: Any, words: Words, name_of: NameOf) -> str:
    if value is None:
        return ""
    if field == "local_date":
        return html.escape(format_date(date.fromisoformat(value), "medium", locale=words.language))
    if field == "at" or field.endswith("_at"):
        return html.escape(format_datetime(datetime.fromisoformat(value), "medium", locale=words.language))
    if field == "activity":
        return html.escape(name_of(value))
    if isinstance(value, float):
        return f"{value:g}"
    return html.escape(str(value))
