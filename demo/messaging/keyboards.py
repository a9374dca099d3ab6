"""Keyboards under messages: their shapes and limits (Bot API, InlineKeyboardMarkup and ReplyKeyboardMarkup)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from demo.messaging.errors import bad_request

MOST_CALLBACK_BYTES = 64
# Undocumented; the number that the API refuses above, from memory.
MOST_INLINE_BUTTONS = 100
ACTIONS = (
    "callback_data",
    "url",
    "web_app",
    "login_url",
    "switch_inline_query",
    "switch_inline_query_current_chat",
    "switch_inline_query_chosen_chat",
    "copy_text",
    "callback_game",
    "pay",
)


def checked_markup(markup: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """Return a reply_markup as it will be kept, or None for none.

    Raises:
        ApiError: 400, a shape that is none of the four, or a button that breaks a limit.
    """
    if not markup:
        return None
    if "inline_keyboard" in markup:
        return checked_inline(markup)
    if "keyboard" in markup:
        rows = _rows(markup["keyboard"])
        buttons = [[_reply_button(button) for button in row] for row in rows]
        return {**markup, "keyboard": [row for row in buttons if row]}
    if markup.get("remove_keyboard") is True or markup.get("force_reply") is True:
        return dict(markup)
    raise bad_request("object expected as reply markup")


def checked_inline(markup: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """Return an inline keyboard with its empty rows left out, or None when no button is left.

    Raises:
        ApiError: 400, another keyboard, or a button that breaks a limit.
    """
    if not markup:
        return None
    if "inline_keyboard" not in markup:
        raise bad_request("inline keyboard expected")
    rows = [[_inline_button(button) for button in row] for row in _rows(markup["inline_keyboard"])]
    rows = [row for row in rows if row]
    if sum(map(len, rows)) > MOST_INLINE_BUTTONS:
        raise bad_request("reply markup is too long")
    return {"inline_keyboard": rows} if rows else None


def _rows(rows: Any) -> list[list[Any]]:
    if not isinstance(rows, list) or not all(isinstance(row, list) for row in rows):
        raise bad_request("can't parse keyboard: field must be an Array of Arrays")
    return rows


def _inline_button(button: Any) -> dict[str, Any]:
    if not isinstance(button, dict) or not isinstance(button.get("text"), str):
        raise bad_request('can\'t parse inline keyboard button: field "text" must be a String')
    if not button["text"].strip():
        raise bad_request("inline keyboard button text must be non-empty")
    if not any(action in button for action in ACTIONS):
        raise bad_request("text buttons are unallowed in the inline keyboard")
    if "callback_data" in button:
        data = button["callback_data"]
        if not isinstance(data, str) or not 1 <= len(data.encode()) <= MOST_CALLBACK_BYTES:
            raise bad_request("BUTTON_DATA_INVALID")
    if "url" in button and not str(button["url"]).startswith(("http://", "https://", "tg://")):
        raise bad_request(
            f"inline keyboard button URL '{button['url']}' is invalid: wrong HTTP URL specified"
        )
    return dict(button)


def _reply_button(button: Any) -> dict[str, Any]:
    if isinstance(button, str):
        button = {"text": button}
    if not isinstance(button, dict) or not isinstance(button.get("text"), str):
        raise bad_request('can\'t parse keyboard button: field "text" must be a String')
    if not button["text"].strip():
        raise bad_request("keyboard button text must be non-empty")
    return dict(button)
