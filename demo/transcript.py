"""Prints both sides of the conversation as it goes: the first day in full, then a line a day, unless the whole is wanted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.table import Table
from rich.text import Text

from demo.messaging import MessagingServer
from demo.scenario import Scenario

WIDEST = 100
PLURAL = {"reply": "replies"}
KINDS = ("reminder", "tap", "reply", "concern")


class Transcript:
    """Follows what happens on the messaging server."""

    def __init__(
        self,
        server: MessagingServer,
        scenario: Scenario,
        console: Console,
        zone: ZoneInfo,
        *,
        silent: bool,
        whole: bool,
    ) -> None:
        self._server, self._scenario, self._console, self._zone = server, scenario, console, zone
        self._silent, self._whole = silent, whole
        self._shown = server.events.last
        self._texts: dict[int, str] = {}
        self._first = scenario.starts.astimezone(zone).date()
        self._day, self._counted = self._first, Counter[str]()

    def show(self) -> bool:
        """Print what is new; return whether anything was."""
        events = list(self._server.events.since(self._shown))
        self._shown = self._server.events.last
        if self._silent:
            return False
        printed = [self._follow(event) for event in events]
        return any(printed)

    def close(self) -> None:
        """Print the last day's line."""
        if not self._silent:
            self._end_day()

    def _follow(self, event: dict[str, Any]) -> bool:
        """Print an event, or count it for its day's line; return whether anything was printed."""
        day = datetime.fromisoformat(event["at"]).astimezone(self._zone).date()
        ended = day > self._day and self._end_day()
        self._day = max(day, self._day)
        if not self._whole and day > self._first:
            self._counted[_kind(event, self._scenario.therapists)] += 1
            return ended
        line = self._line(event)
        if line is not None:
            self._console.print(line)
        return ended or line is not None

    def _end_day(self) -> bool:
        """Print the line of a day that is over; return whether there was one."""
        said = [
            f"{n} {kind if n == 1 else PLURAL.get(kind, kind + 's')}"
            for kind in KINDS
            if (n := self._counted[kind])
        ]
        if said:
            self._console.print(f"[bold]{self._day:%A}[/bold]: {', '.join(said)}")
        self._counted.clear()
        return bool(said)

    def _line(self, event: dict[str, Any]) -> Table | None:
        chat_id = event["chat_id"]
        if chat_id not in self._scenario.names:
            return None
        name = self._scenario.names[chat_id]
        match event["kind"]:
            case "press":
                return self._row(event, f"{name} taps", Text(f"[{event['label']}]", style="cyan"))
            case "message" | "edited":
                return self._message(event, name)
            case _:
                return None

    def _message(self, event: dict[str, Any], name: str) -> Table | None:
        raw = event["message"]
        edited = event["kind"] == "edited"
        text = raw.get("text") or raw.get("caption") or ""
        if not raw["from"]["is_bot"]:
            return self._row(event, f"{name} edits" if edited else name, Text(text, style="bold cyan"))
        body = Text(text or f"({_file_of(raw)})")
        buttons = [
            button for line in raw.get("reply_markup", {}).get("inline_keyboard", []) for button in line
        ]
        if edited and text == self._texts.get(raw["message_id"], ""):
            return None  # only its buttons went
        self._texts[raw["message_id"]] = text
        if buttons:
            body.append("\n" + " ".join(f"[{button['text']}]" for button in buttons), style="dim")
        return self._row(event, f"→ {name}, changed" if edited else f"→ {name}", body)

    def _row(self, event: dict[str, Any], who: str, text: Text) -> Table:
        zone = self._scenario.zones.get(event["chat_id"], self._zone)
        at = datetime.fromisoformat(event["at"]).astimezone(zone)
        row = Table.grid(padding=(0, 1))
        row.add_column(width=9, style="dim")
        row.add_column(width=18)
        row.add_column(width=max(min(self._console.width, WIDEST) - 30, 20))
        row.add_row(f"{at:%a %H:%M}", who, text)
        return row


def _kind(event: dict[str, Any], therapists: Collection[int]) -> str:
    """Return what an event counts as in a day's line; "" for what is not counted."""
    raw = event.get("message")
    if event["kind"] != "message" or raw is None:
        return "tap" if event["kind"] == "press" else ""
    if not raw["from"]["is_bot"]:
        return "reply" if event["chat_id"] not in therapists else ""
    keys = {
        (button.get("callback_data") or "").partition(":")[0]
        for line in raw.get("reply_markup", {}).get("inline_keyboard", [])
        for button in line
    }
    if "done" in keys:
        return "reminder"
    return "concern" if "seen" in keys and event["chat_id"] in therapists else ""


def _file_of(raw: dict[str, Any]) -> str:
    return next((kind for kind in ("photo", "document", "video", "voice") if kind in raw), "message")
