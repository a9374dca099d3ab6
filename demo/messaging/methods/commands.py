"""The bot's command menu, by scope and language (Bot API, BotCommandScope)."""

from __future__ import annotations

import re
from typing import Any

from demo.messaging.arguments import Arguments
from demo.messaging.chats import Chat, Json
from demo.messaging.errors import bad_request
from demo.messaging.methods.method import Method
from demo.messaging.service import Service

MOST_COMMANDS = 100
COMMAND = re.compile(r"[a-z0-9_]{1,32}")
MOST_DESCRIPTION = 256
PLAIN_SCOPES = ("default", "all_private_chats", "all_group_chats", "all_chat_administrators")
CHAT_SCOPES = ("chat", "chat_administrators", "chat_member")


def set_my_commands(service: Service, arguments: Arguments) -> bool:
    given = arguments.json("commands")
    if not isinstance(given, list):
        raise bad_request("can't parse commands: expected an Array of BotCommand")
    if len(given) > MOST_COMMANDS:
        raise bad_request("there can be no more than 100 commands")
    key = _key(service, arguments)
    service.commands[key] = [_command(entry) for entry in given]
    service.events.add("commands", None, scope=key[0], language=key[1], commands=service.commands[key])
    return True


def get_my_commands(service: Service, arguments: Arguments) -> list[Json]:
    return service.commands.get(_key(service, arguments), [])


def delete_my_commands(service: Service, arguments: Arguments) -> bool:
    service.commands.pop(_key(service, arguments), None)
    return True


def menu_for(service: Service, chat: Chat, language: str | None) -> list[Json]:
    """Return the commands that a person sees in a chat: the narrowest scope first, in it their language first.

    The order is that of the Bot API, "Determining list of commands", for someone who is no administrator.
    """
    scopes = [f"chat:{chat.id}", "all_group_chats" if chat.is_group else "all_private_chats", "default"]
    for scope in scopes:
        for code in (language or "", ""):
            if commands := service.commands.get((scope, code)):
                return commands
    return []


def _command(entry: Any) -> Json:
    if not isinstance(entry, dict):
        raise bad_request("can't parse BotCommand: expected an Object")
    name = str(entry.get("command", "")).removeprefix("/")
    description = str(entry.get("description", "")).strip()
    if not COMMAND.fullmatch(name):
        raise bad_request("BOT_COMMAND_INVALID")
    if not 1 <= len(description) <= MOST_DESCRIPTION:
        raise bad_request("BOT_COMMAND_DESCRIPTION_INVALID")
    return {"command": name, "description": description}


def _key(service: Service, arguments: Arguments) -> tuple[str, str]:
    language = arguments.text("language_code") or ""
    if language and not re.fullmatch(r"[a-z]{2}", language):
        raise bad_request("invalid language code specified")
    scope = arguments.mapping("scope") or {"type": "default"}
    kind = scope.get("type")
    if kind in PLAIN_SCOPES:
        return str(kind), language
    if kind not in CHAT_SCOPES:
        raise bad_request("can't parse BotCommandScope: unsupported type specified")
    chat = service.chat_named(str(scope.get("chat_id", "")))
    member = f":{scope.get('user_id')}" if kind == "chat_member" else ""
    return f"{kind}:{chat.id}{member}", language


METHODS: dict[str, Method] = {
    "setmycommands": set_my_commands,
    "getmycommands": get_my_commands,
    "deletemycommands": delete_my_commands,
}
