"""What is to be said as the outbox keeps it: JSON values, and no longer than the messaging service takes."""

from __future__ import annotations

import base64
from dataclasses import replace
from typing import Any

from bot.domain.outgoing import (
    LONGEST_CAPTION,
    PRIORITY,
    Attachment,
    Kind,
    MessageEdit,
    OutgoingMessage,
    PressAnswer,
    ToSay,
    parts_of,
    visible_length,
)
from bot.domain.rendering import request_as_json


def kind_of(say: ToSay) -> Kind:
    return "press" if isinstance(say, PressAnswer) else say.kind


def priority_of(say: ToSay) -> int:
    return PRIORITY[kind_of(say)]


def action_of(say: ToSay) -> str:
    """Return what the sender does: send, edit, buttons, press, or the kind of a message's file."""
    match say:
        case PressAnswer():
            return "press"
        case MessageEdit():
            return "edit" if say.text else "buttons"
        case OutgoingMessage():
            return say.attachment.kind if say.attachment else "send"


def payload_of(say: ToSay) -> dict[str, Any]:
    """Return it as JSON values; a file's content is base64 text."""
    payload: dict[str, Any] = {"text": say.text}
    match say:
        case PressAnswer():
            return payload | {"press": say.press}
        case MessageEdit():
            payload["edits"] = say.edits
        case OutgoingMessage():
            if say.reply_to is not None:
                payload["reply_to"] = say.reply_to
            if say.attachment:
                payload["file"] = _file(say.attachment)
    if say.buttons:
        payload["buttons"] = [[[button.label, button.data] for button in line] for line in say.buttons]
    if say.render is not None:
        payload["render"] = request_as_json(say.render)
    return payload


def _file(attachment: Attachment) -> dict[str, str | None]:
    content = attachment.content
    return {
        "name": attachment.name,
        "content": base64.b64encode(content).decode("ascii") if content is not None else None,
        "file_id": attachment.file_id,
    }


def fitting(say: ToSay) -> list[ToSay]:
    """Cut a text that is too long for one message; its buttons stay under the last part."""
    if not isinstance(say, OutgoingMessage) or say.render is not None:
        return [say]
    if say.attachment and visible_length(say.text) > LONGEST_CAPTION:
        return [replace(say, text="", buttons=(), key=None), *fitting(replace(say, attachment=None))]
    parts = parts_of(say.text)
    first = [replace(say, text=part, buttons=(), key=None) for part in parts[:-1]]
    return [*first, replace(say, text=parts[-1])] if parts else [say]
