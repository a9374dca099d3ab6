"""Who the bot is, and what it says of itself."""

from __future__ import annotations

from functools import partial
from typing import Any

from demo.messaging.arguments import Arguments
from demo.messaging.chats import Json
from demo.messaging.errors import bad_request, forbidden
from demo.messaging.methods.method import Method
from demo.messaging.service import Service

# Bot API, setMyName, setMyDescription, setMyShortDescription: most characters.
PROFILE_FIELDS = {"name": 64, "description": 512, "short_description": 120}


def get_me(service: Service, arguments: Arguments) -> Json:
    return {
        **service.bot,
        "can_join_groups": True,
        "can_read_all_group_messages": False,
        "supports_inline_queries": False,
        "can_connect_to_business": False,
        "has_main_web_app": False,
    }


def set_field(service: Service, arguments: Arguments, *, field: str) -> bool:
    value = arguments.text(field) or ""
    if len(value) > PROFILE_FIELDS[field]:
        raise bad_request(f"bot {field.replace('_', ' ')} is too long")
    language = arguments.text("language_code") or ""
    if value:
        service.profile[field, language] = value
    else:
        service.profile.pop((field, language), None)
    return True


def get_field(service: Service, arguments: Arguments, *, field: str) -> Json:
    language = arguments.text("language_code") or ""
    default = service.bot["first_name"] if field == "name" else ""
    value = service.profile.get((field, language)) or service.profile.get((field, ""), default)
    return {field: value}


def get_chat(service: Service, arguments: Arguments) -> Json:
    chat = service.chat_named(arguments.text("chat_id"))
    return {
        **chat.as_json(),
        "accent_color_id": abs(chat.id) % 7,
        "max_reaction_count": 11,
        "accepted_gift_types": {
            "unlimited_gifts": False,
            "limited_gifts": False,
            "unique_gifts": False,
            "premium_subscription": False,
            "gifts_from_channels": False,
        },
    }


def get_chat_member(service: Service, arguments: Arguments) -> Json:
    chat = service.chat_named(arguments.text("chat_id"))
    user_id = arguments.integer("user_id")
    if user_id == service.bot["id"]:
        return {"user": service.bot, **bot_status(chat.blocked)}
    account = chat.account if chat.account and chat.id == user_id else chat.members.get(user_id)
    if account is None:
        raise bad_request("PARTICIPANT_ID_INVALID")
    return {"user": account.as_user(), "status": "member"}


def leave_chat(service: Service, arguments: Arguments) -> bool:
    chat = service.chat_named(arguments.text("chat_id"))
    if not chat.is_group:
        raise bad_request("chat member status can't be changed in private chats")
    if chat.blocked:
        raise forbidden(f"bot is not a member of the {chat.kind} chat")
    chat.blocked = True
    service.events.add("left", chat.id)
    return True


def bot_status(blocked: bool) -> dict[str, Any]:
    """Return the status part of a ChatMember for the bot in a chat."""
    return {"status": "kicked", "until_date": 0} if blocked else {"status": "member"}


METHODS: dict[str, Method] = {
    "getme": get_me,
    "getchat": get_chat,
    "getchatmember": get_chat_member,
    "leavechat": leave_chat,
    **{f"setmy{field.replace('_', '')}": partial(set_field, field=field) for field in PROFILE_FIELDS},
    **{f"getmy{field.replace('_', '')}": partial(get_field, field=field) for field in PROFILE_FIELDS},
}
