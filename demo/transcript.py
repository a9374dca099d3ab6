"""Prints both sides of the conversation as it goes."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.table import Table
from rich.text import Text

from demo.messaging import MessagingServer
from demo.scenario import Scenario

WIDEST = 100


class Transcript:
    """Follows what happens on the messaging server."""

    def __init__(
        self, server: MessagingServer, scenario: Scenario, console: Console, zone: ZoneInfo, *, silent: bool
    ) -> None:
        self._server, self._scenario, self._console, self._zone = server, scenario, console, zone
        self._silent = silent
        self._shown = server.events.last
        self._texts: dict[int, str] = {}

    def show(self) -> bool:
        """Print what is new; return whether anything was."""
        events = list(self._server.events.since(self._shown))
        self._shown = self._server.events.last
        if self._silent:
            return False
        lines = [line for event in events if (line := self._line(event)) is not None]
        for line in lines:
            self._console.print(line)
        return bool(lines)

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
        at = datetime.fromisoformat(event["at"]).astimezone(self._zone)
        row = Table.grid(padding=(0, 1))
        row.add_column(width=9, style="dim")
        row.add_column(width=18)
        row.add_column(width=min(self._console.width, WIDEST) - 30)
        row.add_row(f"{at:%a %H:%M}", who, text)
        return row


def _file_of(raw: dict[str, Any]) -> str:
    return next((kind for kind in ("photo", "document", "video", "voice") if kind in raw), "message")
