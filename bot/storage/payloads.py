"""A message as the outbox keeps it: JSON values, and no longer than the messaging service takes."""

from __future__ import annotations

import base64
from dataclasses import replace
from typing import Any

from bot.domain.outgoing import LONGEST_CAPTION, OutgoingMessage, parts_of, visible_length
from bot.domain.rendering import request_as_json


def action_of(say: OutgoingMessage) -> str:
    """Return what the sender does with a message: send, edit, buttons, press, or the kind of its file."""
    if say.press is not None:
        return "press"
    if say.edits is not None:
        return "edit" if say.text else "buttons"
    return say.attachment.kind if say.attachment else "send"


def payload_of(say: OutgoingMessage) -> dict[str, Any]:
    """Return a message as JSON values; a file's content is base64 text."""
    payload: dict[str, Any] = {"text": say.text}
    if say.buttons:
        payload["buttons"] = [[[button.label, button.data] for button in line] for line in say.buttons]
    if say.edits is not None:
        payload["edits"] = say.edits
    if say.press is not None:
        payload["press"] = say.press
    if say.reply_to is not None:
        payload["reply_to"] = say.reply_to
    if say.render is not None:
        payload["render"] = request_as_json(say.render)
    if say.attachment:
        content = say.attachment.content
        payload["file"] = {
            "name": say.attachment.name,
            "content": base64.b64encode(content).decode("ascii") if content is not None else None,
            "file_id": say.attachment.file_id,
        }
    return payload


def fitting(say: OutgoingMessage) -> list[OutgoingMessage]:
    """Cut a text that is too long for one message; its buttons stay under the last part."""
    if say.edits is not None or say.press is not None or say.render is not None:
        return [say]
    if say.attachment and visible_length(say.text) > LONGEST_CAPTION:
        return [replace(say, text="", buttons=(), key=None), *fitting(replace(say, attachment=None))]
    parts = parts_of(say.text)
    first = [replace(say, text=part, buttons=(), key=None) for part in parts[:-1]]
    return [*first, replace(say, text=parts[-1])] if parts else [say]
