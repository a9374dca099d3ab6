"""The messaging service behind the API: one bot, its chats, and all that passes between them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Mapping
from typing import Any

from demo.messaging.chats import Account, Chat, ChatKind, Json, Press
from demo.messaging.clock import ServerClock
from demo.messaging.errors import bad_request, forbidden
from demo.messaging.events import EventLog, Record
from demo.messaging.faults import FaultPlan
from demo.messaging.files import FileStore
from demo.messaging.limits import Limits, RateKeeper
from demo.messaging.updates import PRESS_LIFE, UpdateQueue

TOKEN = re.compile(r"(\d{1,16}):[A-Za-z0-9_-]+")


class Service:
    """Everything the server knows. No HTTP here.

    Raises:
        ValueError: the token is not of the shape number:letters.
    """

    def __init__(
        self, token: str, *, clock: ServerClock, limits: Limits, bot_name: str, bot_username: str, seed: int
    ) -> None:
        shape = TOKEN.fullmatch(token)
        if shape is None:
            raise ValueError(
                "The token must be a number, a colon, then letters, digits, _ or -, such as 1000:local."
            )
        self.token = token
        self.clock = clock
        self.record = Record()
        self.events = EventLog(clock)
        self.updates = UpdateQueue(clock, self.record)
        self.rates = RateKeeper(limits)
        self.faults = FaultPlan(seed)
        self.files = FileStore()
        self.chats: dict[int, Chat] = {}
        self.presses: dict[str, Press] = {}
        self.commands: dict[tuple[str, str], list[Json]] = {}
        self.profile: dict[tuple[str, str], str] = {}
        self.webhook: Json | None = None
        self.on_webhook: Callable[[], None] = lambda: None
        self.bot: Json = {
            "id": int(shape[1]),
            "is_bot": True,
            "first_name": bot_name,
            "username": bot_username,
        }
        self._message_ids = itertools.count(1)
        self._query_ids = itertools.count(1)

    def new_chat(self, chat_id: int, kind: ChatKind, title: str | None, account: Account | None) -> Chat:
        chat = Chat(chat_id, kind, title, account)
        self.chats[chat_id] = chat
        return chat

    def chat_named(self, given: str | None) -> Chat:
        """Return the chat that a chat_id names.

        Raises:
            ApiError: 400, none is named or there is no such chat; 403, the person has not begun it, though known
                from a group; 400 with migrate_to_chat_id, it has moved.
        """
        if given is None or given == "":
            raise bad_request("chat_id is empty")
        chat = self.chats.get(int(given)) if re.fullmatch(r"-?\d{1,18}", given) else None
        if chat is None:
            raise bad_request("chat not found")
        if not chat.started:
            if any(chat.id in group.members for group in self.chats.values()):
                raise forbidden("bot can't initiate conversation with a user")
            raise bad_request("chat not found")
        if chat.migrated_to is not None:
            raise bad_request(
                "group chat was upgraded to a supergroup chat", migrate_to_chat_id=chat.migrated_to
            )
        return chat

    def open_chat(self, given: str | None) -> Chat:
        """Return the chat, if the bot may write into it.

        Raises:
            ApiError: as chat_named; 403, the bot was blocked or put out of the group.
        """
        chat = self.chat_named(given)
        if chat.deactivated:
            raise forbidden("user is deactivated")
        if chat.blocked and chat.is_group:
            raise forbidden(f"bot was kicked from the {chat.kind} chat")
        if chat.blocked:
            raise forbidden("bot was blocked by the user")
        return chat

    def new_message(self, chat: Chat, sender: Json, content: Mapping[str, Any]) -> Json:
        """Put a message into a chat and tell the watchers; return it as the API shows it."""
        message_id = next(self._message_ids)
        message: Json = {
            "message_id": message_id,
            "from": sender,
            "chat": chat.as_json(),
            "date": int(self.clock.now()),
            **content,
        }
        chat.messages[message_id] = message
        self.events.add("message", chat.id, message=message)
        return message

    def quoted(self, chat: Chat, message_id: int) -> Json | None:
        """Return a message as another quotes it: without its own quotation."""
        message = chat.messages.get(message_id)
        if message is None:
            return None
        return {name: value for name, value in message.items() if name != "reply_to_message"}

    def new_press(
        self, chat: Chat, message_id: int, user_id: int, data: str, *, life: float = PRESS_LIFE
    ) -> Press:
        """Note that a button was pressed. life: seconds in which it can be answered."""
        query_id = str(4_000_000_000_000 + next(self._query_ids))
        press = Press(query_id, chat.id, message_id, user_id, data, self.clock.elapsed() + life)
        self.presses[query_id] = press
        return press

    def queue(self, kind: str, chat: Chat, body: Json, **life: float) -> int | None:
        """Queue an update for the bot, with whatever fault is planned for it."""
        twice = self.faults.for_update(chat.id) is not None
        return self.updates.add(kind, body, chat_id=chat.id, repeats=int(twice), **life)

    def close(self) -> None:
        """Let go of everyone who waits."""
        self.updates.end_poll()
        self.events.close()
