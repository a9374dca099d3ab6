"""Messages of text, and what can be done to any message: edited, deleted, copied, its buttons answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from demo.messaging.arguments import Arguments
from demo.messaging.chats import MEDIA_KINDS, Chat, Json
from demo.messaging.entities import checked_entities, found_entities, parse_html, trimmed
from demo.messaging.errors import bad_request
from demo.messaging.keyboards import checked_inline, checked_markup
from demo.messaging.methods.method import Method
from demo.messaging.service import Service

# Bot API: sendMessage, sendPhoto and answerCallbackQuery.
MOST_TEXT = 4096
MOST_CAPTION = 1024
MOST_ANSWER = 200
# Bot API, deleteMessage: a message can only be deleted if it was sent less than 48 hours ago.
DELETABLE_SECONDS = 48 * 3600
CONTENT_FIELDS = ("text", "entities", "caption", "caption_entities", *MEDIA_KINDS)


def formatted(source: Any, *, field: str, most: int, text_field: str | None = None) -> Json:
    """Return the formatted text of a call as the fields of a Message, {} when there is none.

    source: Arguments, or the mapping of an InputMedia. field: "text" or "caption".

    Raises:
        ApiError: 400, broken entities or more than `most` characters after they were parsed.
    """
    arguments = source if isinstance(source, Arguments) else Arguments(dict(source))
    entities_field = "entities" if field == "text" else "caption_entities"
    text = arguments.text(text_field or field) or ""
    mode = (arguments.text("parse_mode") or "").lower()
    if mode == "html":
        text, entities = parse_html(text)
    elif mode in ("", "none"):
        given = arguments.json(entities_field)
        entities = checked_entities(text, given) if given else []
    else:
        raise bad_request("unsupported parse_mode")
    text, entities = trimmed(text, entities)
    if len(text) > most:
        raise bad_request("message is too long" if field == "text" else "message caption is too long")
    entities = found_entities(text, entities)
    return {field: text, **({entities_field: entities} if entities else {})} if text else {}


def text_content(arguments: Arguments) -> Json:
    content = formatted(arguments, field="text", most=MOST_TEXT)
    if not content:
        raise bad_request("message text is empty")
    if preview := arguments.mapping("link_preview_options"):
        content["link_preview_options"] = dict(preview)
    return content


def deliver(service: Service, arguments: Arguments, contents: list[Json]) -> list[Json]:
    """Send messages of these contents into the chat of a call, and return them.

    Raises:
        ApiError: the chat cannot be written to, the reply is to nothing, the keyboard is wrong, or it is too soon.
    """
    markup = checked_markup(arguments.mapping("reply_markup"))
    chat = service.open_chat(arguments.text("chat_id"))
    quotation = _quotation(service, chat, arguments)
    service.rates.count(chat.id, len(contents))
    extra: Json = {**quotation}
    if markup is not None and "inline_keyboard" in markup:
        extra["reply_markup"] = markup
    if arguments.flag("protect_content"):
        extra["has_protected_content"] = True
    _keep_keyboard(service, chat, markup)
    messages = [service.new_message(chat, service.bot, {**content, **extra}) for content in contents]
    if arguments.flag("disable_notification"):
        chat.silent.update(message["message_id"] for message in messages)
    return messages


def send_message(service: Service, arguments: Arguments) -> Json:
    return deliver(service, arguments, [text_content(arguments)])[0]


def copy_message(service: Service, arguments: Arguments) -> Json:
    content = _content_of(_source(service, arguments))
    if "caption" in arguments.values and "text" not in content:
        content.pop("caption", None)
        content.pop("caption_entities", None)
        content |= formatted(arguments, field="caption", most=MOST_CAPTION)
    return {"message_id": deliver(service, arguments, [content])[0]["message_id"]}


def forward_message(service: Service, arguments: Arguments) -> Json:
    source = _source(service, arguments)
    origin = {"type": "user", "sender_user": source["from"], "date": source["date"]}
    return deliver(service, arguments, [{**_content_of(source), "forward_origin": origin}])[0]


def edit_message_text(service: Service, arguments: Arguments) -> Json:
    content = text_content(arguments)

    def change(message: Json) -> Json:
        if "text" not in message:
            raise bad_request("there is no text in the message to edit")
        return content

    return edit(service, arguments, change, fields=("text", "entities", "link_preview_options"))


def edit_message_caption(service: Service, arguments: Arguments) -> Json:
    content = formatted(arguments, field="caption", most=MOST_CAPTION)

    def change(message: Json) -> Json:
        if "text" in message:
            raise bad_request("there is no caption in the message to edit")
        return content

    return edit(service, arguments, change, fields=("caption", "caption_entities"))


def edit_message_reply_markup(service: Service, arguments: Arguments) -> Json:
    return edit(service, arguments, lambda message: {}, fields=())


def edit(
    service: Service, arguments: Arguments, change: Callable[[Json], Json], *, fields: tuple[str, ...]
) -> Json:
    """Replace `fields` of the bot's message by what `change` makes of it, and its inline keyboard by the one given.

    Raises:
        ApiError: 400, there is no such message, it is not the bot's, or nothing would change; 403 and 429 as in sending.
    """
    markup = checked_inline(arguments.mapping("reply_markup"))
    chat = service.open_chat(arguments.text("chat_id"))
    message = chat.messages.get(arguments.integer("message_id"))
    if message is None:
        raise bad_request("message to edit not found")
    if message["from"]["id"] != service.bot["id"]:
        raise bad_request("message can't be edited")
    replaced = (*fields, "reply_markup")
    new = change(message) | ({"reply_markup": markup} if markup else {})
    if {name: message[name] for name in replaced if name in message} == new:
        raise bad_request(
            "message is not modified: specified new message content and reply markup are exactly the same "
            "as a current content and reply markup of the message"
        )
    if service.rates.limits.edits:
        service.rates.count(chat.id)
    kept = {name: value for name, value in message.items() if name not in replaced}
    edited = {**kept, "edit_date": int(service.clock.now()), **new}
    chat.messages[message["message_id"]] = edited
    service.events.add("edited", chat.id, message=edited)
    return edited


def delete_message(service: Service, arguments: Arguments) -> bool:
    chat = service.open_chat(arguments.text("chat_id"))
    _delete(service, chat, arguments.integer("message_id"))
    return True


def delete_messages(service: Service, arguments: Arguments) -> bool:
    chat = service.open_chat(arguments.text("chat_id"))
    for message_id in arguments.json("message_ids") or []:
        if message_id in chat.messages:
            _delete(service, chat, message_id)
    return True


def _delete(service: Service, chat: Chat, message_id: int) -> None:
    message = chat.messages.get(message_id)
    if message is None:
        raise bad_request("message to delete not found")
    is_own = message["from"]["id"] == service.bot["id"]
    if service.clock.now() - message["date"] > DELETABLE_SECONDS:
        raise bad_request("message can't be deleted for everyone")
    if chat.is_group and not is_own and not chat.bot_is_admin:
        raise bad_request("message can't be deleted")
    del chat.messages[message_id]
    chat.deleted.append(message_id)
    service.events.add("deleted", chat.id, message_id=message_id)


def answer_callback_query(service: Service, arguments: Arguments) -> bool:
    text = arguments.text("text") or ""
    if len(text) > MOST_ANSWER:
        raise bad_request("MESSAGE_TOO_LONG")
    press = service.presses.get(arguments.text("callback_query_id") or "")
    if press is None or press.answered or press.expires_at <= service.clock.elapsed():
        raise bad_request("query is too old and response timeout expired or query ID is invalid")
    press.answered = True
    toast = {
        "callback_query_id": press.query_id,
        "message_id": press.message_id,
        "user_id": press.user_id,
        "text": text,
        "show_alert": arguments.flag("show_alert"),
        "at": service.clock.now(),
    }
    service.chats[press.chat_id].toasts.append(toast)
    service.events.add("toast", press.chat_id, toast=toast)
    return True


def send_chat_action(service: Service, arguments: Arguments) -> bool:
    chat = service.open_chat(arguments.text("chat_id"))
    service.events.add("action", chat.id, action=arguments.text("action"))
    return True


def set_message_reaction(service: Service, arguments: Arguments) -> bool:
    chat = service.open_chat(arguments.text("chat_id"))
    message_id = arguments.integer("message_id")
    if message_id not in chat.messages:
        raise bad_request("message to react not found")
    given = arguments.json("reaction") or []
    emoji = str(given[0].get("emoji", "")) if given else ""
    chat.reactions[message_id] = emoji
    service.events.add("reaction", chat.id, message_id=message_id, emoji=emoji)
    return True


def _quotation(service: Service, chat: Chat, arguments: Arguments) -> Json:
    parameters = arguments.mapping("reply_parameters") or {
        "message_id": arguments.integer("reply_to_message_id"),
        "allow_sending_without_reply": arguments.flag("allow_sending_without_reply"),
    }
    message_id = int(parameters.get("message_id") or 0)
    if not message_id:
        return {}
    quoted = service.quoted(chat, message_id)
    if quoted is not None:
        return {"reply_to_message": quoted}
    if parameters.get("allow_sending_without_reply"):
        return {}
    raise bad_request("message to be replied not found")


def _keep_keyboard(service: Service, chat: Chat, markup: Json | None) -> None:
    if markup is None or "inline_keyboard" in markup or "force_reply" in markup:
        return
    chat.keyboard = markup if "keyboard" in markup else None
    service.events.add("keyboard", chat.id, keyboard=chat.keyboard)


def _source(service: Service, arguments: Arguments) -> Json:
    chat = service.chat_named(arguments.text("from_chat_id"))
    message = chat.messages.get(arguments.integer("message_id"))
    if message is None:
        raise bad_request("message to copy not found")
    return message


def _content_of(message: Json) -> Json:
    return {name: message[name] for name in CONTENT_FIELDS if name in message}


METHODS: dict[str, Method] = {
    "sendmessage": send_message,
    "copymessage": copy_message,
    "forwardmessage": forward_message,
    "editmessagetext": edit_message_text,
    "editmessagecaption": edit_message_caption,
    "editmessagereplymarkup": edit_message_reply_markup,
    "deletemessage": delete_message,
    "deletemessages": delete_messages,
    "answercallbackquery": answer_callback_query,
    "sendchataction": send_chat_action,
    "setmessagereaction": set_message_reaction,
}
