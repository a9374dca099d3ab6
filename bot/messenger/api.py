"""The messaging service as we use it: the library's Bot, and what its errors mean for a message."""

from __future__ import annotations

import base64
import html
import json
import re
import warnings
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Literal

from telegram import (
    Bot,
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    InputFile,
    LinkPreviewOptions,
    Message,
    ReplyParameters,
)  # fmt: skip
from telegram.error import (
    BadRequest,
    ChatMigrated,
    Conflict,
    EndPointNotFound,
    Forbidden,
    InvalidToken,
    NetworkError,
    RetryAfter,
    TelegramError,
    TimedOut,
)  # fmt: skip
from telegram.warnings import PTBUserWarning

from bot.domain.ids import ChatId
from bot.messenger.http_client import HttpClient, never_left
from bot.storage.repositories.deliveries import Outgoing
from bot.storage.repositories.inbox import can_be_kept

# Eight connections send many times what the service allows.
SENDING_POOL = 8
LONGEST_TEXT = 4096
LONGEST_CAPTION = 1024
NO_PREVIEW = json.dumps({"is_disabled": True})
QUOTES = '["“«`]'

# Updates are wanted raw: one that the library cannot parse must not stop the rest. Of a text that was sent only its number is
# wanted: making the library's value of it costs as much as the sending.
warnings.filterwarnings(
    "ignore", message="Please use 'Bot.(getUpdates|sendMessage)'", category=PTBUserWarning
)

Meaning = Literal["sent", "later", "not_sent", "unknown", "refused", "unreachable", "fatal"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a message.

    sent: taken (or nothing was to change). later: not taken, try after `wait` seconds. not_sent: surely not sent, try again.
    unknown: perhaps sent. refused: never will be. unreachable: this person cannot be written to. fatal: our token is refused.
    """

    meaning: Meaning
    message_id: int | None = None
    file_id: str | None = None
    wait: float = 0.0
    error: str = ""
    new_chat_id: ChatId | None = None

    @property
    def kind(self) -> str:
        """What kind of error it was, for logs: its sentence may quote what was to be sent."""
        return self.error.partition(":")[0]


def make_bot(token: str, api_base: str | None, file_base: str | None) -> Bot:
    where = {} if api_base is None else {"base_url": api_base, "base_file_url": file_base}
    return Bot(
        token,
        request=HttpClient(SENDING_POOL, wait=30),
        get_updates_request=HttpClient(2),
        **where,  # type: ignore[arg-type]
    )


# Reactions are handed over only where they are asked for.
WANTED_UPDATES = ["message", "edited_message", "callback_query", "my_chat_member", "message_reaction"]


async def fetch_updates(bot: Bot, offset: int | None, *, wait: int) -> list[dict[str, Any]]:
    """Return waiting updates as raw JSON. Asking with an offset confirms all before it: store first."""
    asked: dict[str, Any] = {"timeout": wait, "limit": 100, "allowed_updates": WANTED_UPDATES}
    if offset is not None:
        asked["offset"] = offset
    result = await bot.do_api_request("getUpdates", api_kwargs=asked, read_timeout=wait + 10)
    return [raw for raw in result if isinstance(raw, dict) and can_be_kept(raw.get("update_id"))]


async def deliver(bot: Bot, out: Outgoing, target: int | None) -> Outcome:
    """Send one outgoing message. target: the service's id of the message that an edit changes."""
    try:
        return await _deliver(bot, out, target)
    except TelegramError as error:
        return meaning_of(error)


async def _deliver(bot: Bot, out: Outgoing, target: int | None) -> Outcome:
    payload = out.payload
    text, markup = payload["text"], _markup(payload.get("buttons"))
    if out.action == "press":
        await bot.answer_callback_query(payload["press"], text=_plain(text)[:200] or None)
        return Outcome("sent")
    if out.action == "buttons":
        await bot.edit_message_reply_markup(chat_id=out.chat_id, message_id=target, reply_markup=markup)
        return Outcome("sent")
    if out.action == "edit":
        await bot.edit_message_text(
            text, chat_id=out.chat_id, message_id=target, parse_mode="HTML", reply_markup=markup,
            link_preview_options=LinkPreviewOptions(is_disabled=True),
        )  # fmt: skip
        return Outcome("sent")
    if out.action == "send":
        taken = await bot.do_api_request("sendMessage", _text_request(out, text))
        return Outcome("sent", message_id=taken["message_id"])
    reply = payload.get("reply_to")
    common: dict[str, Any] = {
        "chat_id": out.chat_id,
        "reply_markup": markup,
        "reply_parameters": ReplyParameters(reply, allow_sending_without_reply=True) if reply else None,
        "parse_mode": "HTML",
    }
    message = await _send_file(bot, out, text or None, common)
    return Outcome("sent", message_id=message.message_id, file_id=_file_id(message))


def _text_request(out: Outgoing, text: str) -> dict[str, Any]:
    """Return the parameters of a text as the service takes them, JSON within them written out: nine of ten messages are texts."""
    reply, buttons = out.payload.get("reply_to"), out.payload.get("buttons")
    said = {"chat_id": out.chat_id, "text": text, "parse_mode": "HTML", "link_preview_options": NO_PREVIEW}
    if reply:
        said["reply_parameters"] = json.dumps({"message_id": reply, "allow_sending_without_reply": True})
    if buttons:
        keys = [[{"text": label, "callback_data": data} for label, data in line] for line in buttons]
        said["reply_markup"] = json.dumps({"inline_keyboard": keys})
    return said


async def _send_file(bot: Bot, out: Outgoing, caption: str | None, common: dict[str, Any]) -> Message:
    file = out.payload["file"]
    content: InputFile | str = (
        file["file_id"]
        if file["file_id"]
        else InputFile(base64.b64decode(file["content"]), filename=file["name"], attach=False)
    )
    if out.action == "picture":
        return await bot.send_photo(photo=content, caption=caption, **common)
    if out.action == "video":
        return await bot.send_video(video=content, caption=caption, **common)
    if out.action == "voice":
        return await bot.send_voice(voice=content, caption=caption, **common)
    return await bot.send_document(document=content, caption=caption, **common)


def _markup(buttons: list[list[list[str]]] | None) -> InlineKeyboardMarkup | None:
    if not buttons:
        return None
    return InlineKeyboardMarkup(
        [[InlineKeyboardButton(label, callback_data=data) for label, data in line] for line in buttons]
    )


def _plain(text: str) -> str:
    return html.unescape(re.sub(r"<[^>]*>", "", text))


def _file_id(message: Message) -> str | None:
    if message.photo:
        return message.photo[-1].file_id
    file = message.document or message.video or message.voice
    return file.file_id if file else None


def meaning_of(error: TelegramError) -> Outcome:
    """Say what an error means for the message; BadRequest and TimedOut are NetworkErrors too, so they are asked first."""
    # The service quotes what it could not read of a message; that is not kept.
    text = f"{type(error).__name__}: {re.split(QUOTES, error.message)[0]}"
    match error:
        case RetryAfter():
            wait = error.retry_after
            return Outcome(
                "later", wait=float(wait if isinstance(wait, int) else wait.total_seconds()), error=text
            )
        case ChatMigrated():
            return Outcome("not_sent", error=text, new_chat_id=ChatId(error.new_chat_id))
        case Forbidden():
            return Outcome("unreachable", error=text)
        case (
            InvalidToken() | EndPointNotFound() | Conflict()
        ):  # a refused token is "not found" to a raw request
            return Outcome("fatal", error=text)
        case BadRequest():
            return _meaning_of_bad_request(error.message.lower(), text)
        case TimedOut():
            return Outcome("not_sent" if never_left(error) else "unknown", error=text)
        case NetworkError():
            surely_not = never_left(error) or "too many requests" in error.message.lower()
            return Outcome("not_sent" if surely_not else "unknown", error=text)
        case _:
            return Outcome("unknown", error=text)


def seconds_of(wait: int | timedelta) -> float:
    """Return a length of time of the library in seconds."""
    return wait.total_seconds() if isinstance(wait, timedelta) else float(wait)


def _meaning_of_bad_request(said: str, text: str) -> Outcome:
    if "message is not modified" in said:
        return Outcome("sent")
    if "query is too old" in said:
        return Outcome("sent", error=text)
    if "chat not found" in said or "user not found" in said:
        return Outcome("unreachable", error=text)
    return Outcome("refused", error=text)
