"""A chat as the person in it sees it."""

from __future__ import annotations

import html
from dataclasses import asdict, dataclass
from typing import Any

from demo.messaging.chats import MEDIA_KINDS, Chat, Json

TAG_OF_KIND = {
    "bold": "b",
    "italic": "i",
    "underline": "u",
    "strikethrough": "s",
    "code": "code",
    "pre": "pre",
    "blockquote": "blockquote",
    "expandable_blockquote": "blockquote",
}


@dataclass(frozen=True, slots=True)
class Button:
    """data: what a press sends to the bot, None where the button opens `url` instead."""

    text: str
    data: str | None
    url: str | None


@dataclass(frozen=True, slots=True)
class MessageView:
    """One message as it stands.

    kind: text, photo, video, voice … text: the text or the caption, plain; html: the same with its formatting, escaped.
    at, edited_at: seconds since 1970. file_id, file_path: of the file it carries; the file is under /file/bot<token>/.
    """

    message_id: int
    chat_id: int
    by_bot: bool
    sender_id: int
    sender: str
    at: int
    edited_at: int | None
    kind: str
    text: str
    html: str
    buttons: tuple[tuple[Button, ...], ...]
    file_id: str | None
    reply_to: int | None
    silent: bool
    reaction: str | None

    def labels(self) -> list[str]:
        """Return the words on its buttons, row by row."""
        return [button.text for row in self.buttons for button in row]

    def as_json(self) -> Json:
        return asdict(self)


def view_of(chat: Chat, message: Json) -> MessageView:
    """Return a message of `chat` as its reader sees it."""
    carried = [kind for kind in MEDIA_KINDS if kind in message]
    # An animation is shown as a document too, for clients that know none.
    kind = carried[-1] if carried else "text" if "text" in message else "service"
    text = message.get("text") or message.get("caption") or ""
    entities = message.get("entities") or message.get("caption_entities") or []
    message_id = message["message_id"]
    return MessageView(
        message_id=message_id,
        chat_id=chat.id,
        by_bot=message["from"]["is_bot"],
        sender_id=message["from"]["id"],
        sender=message["from"]["first_name"],
        at=message["date"],
        edited_at=message.get("edit_date"),
        kind=kind,
        text=text,
        html=as_html(text, entities),
        buttons=_buttons(message),
        file_id=_file_id(message.get(kind)),
        reply_to=(message.get("reply_to_message") or {}).get("message_id"),
        silent=message_id in chat.silent,
        reaction=chat.reactions.get(message_id) or None,
    )


def as_html(text: str, entities: list[Json]) -> str:
    """Return formatted text as HTML that is safe to show: the text escaped, every entity a tag."""
    units = text.encode("utf-16-le")
    edges: dict[int, list[str]] = {}
    for entity in sorted(entities, key=lambda entity: (entity["offset"], -entity["length"])):
        opening, closing = _tags(entity, units)
        if opening:
            edges.setdefault(entity["offset"], []).append(opening)
            edges.setdefault(entity["offset"] + entity["length"], []).insert(0, closing)
    parts = []
    last = 0
    for edge in sorted(edges):
        parts.append(html.escape(units[2 * last : 2 * edge].decode("utf-16-le")))
        closings = [tag for tag in edges[edge] if tag.startswith("</")]
        parts.extend(closings + [tag for tag in edges[edge] if not tag.startswith("</")])
        last = edge
    parts.append(html.escape(units[2 * last :].decode("utf-16-le")))
    return "".join(parts)


def _tags(entity: Json, units: bytes) -> tuple[str, str]:
    kind = entity["type"]
    if kind in TAG_OF_KIND:
        return f"<{TAG_OF_KIND[kind]}>", f"</{TAG_OF_KIND[kind]}>"
    if kind == "spoiler":
        return '<span class="spoiler">', "</span>"
    if kind in ("text_link", "url"):
        start, stop = 2 * entity["offset"], 2 * (entity["offset"] + entity["length"])
        url = entity.get("url") or units[start:stop].decode("utf-16-le")
        return f'<a href="{html.escape(url)}">', "</a>"
    return "", ""


def _buttons(message: Json) -> tuple[tuple[Button, ...], ...]:
    rows = (message.get("reply_markup") or {}).get("inline_keyboard", [])
    return tuple(
        tuple(Button(button["text"], button.get("callback_data"), button.get("url")) for button in row)
        for row in rows
    )


def _file_id(carried: Any) -> str | None:
    if isinstance(carried, list):
        carried = carried[-1]
    return carried.get("file_id") if isinstance(carried, dict) else None
