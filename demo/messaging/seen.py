"""A chat as those in it see it, and the groups that people share with the bot."""

from __future__ import annotations

import asyncio

from demo.messaging.chats import Account, Chat, Json
from demo.messaging.errors import PeopleError
from demo.messaging.methods.commands import menu_for
from demo.messaging.service import Service
from demo.messaging.views import MessageView, view_of


class ChatSeen:
    """A chat as those in it see it."""

    def __init__(self, service: Service, chat: Chat) -> None:
        self._service = service
        self._chat = chat

    @property
    def id(self) -> int:
        return self._chat.id

    @property
    def is_blocked(self) -> bool:
        """The person has blocked the bot, or the group has put it out."""
        return self._chat.blocked

    def as_json(self) -> Json:
        """Return the person as a User, or the group as a Chat."""
        return self._chat.account.as_user() if self._chat.account else self._chat.as_json()

    def messages(self, *, by_bot: bool | None = None) -> list[MessageView]:
        """Return the messages as they stand, oldest first; only the bot's or only the people's if asked."""
        views = [view_of(self._chat, message) for message in self._chat.messages.values()]
        return [view for view in views if by_bot is None or view.by_bot is by_bot]

    def message(self, message_id: int) -> MessageView:
        if message_id not in self._chat.messages:
            raise PeopleError(f"There is no message {message_id} in chat {self.id}.")
        return view_of(self._chat, self._chat.messages[message_id])

    @property
    def toasts(self) -> list[Json]:
        """What answers to button presses showed, oldest first; text may be empty."""
        return list(self._chat.toasts)

    @property
    def keyboard(self) -> list[list[str]]:
        """The words on the reply keyboard in force, [] when there is none."""
        rows = (self._chat.keyboard or {}).get("keyboard", [])
        return [[button["text"] for button in row] for row in rows]

    @property
    def menu(self) -> list[Json]:
        """The bot's commands as this chat shows them."""
        account = self._chat.account
        return menu_for(self._service, self._chat, account.language_code if account else None)

    async def next_message(self, *, after: int = 0, timeout: float = 5.0) -> MessageView:  # noqa: ASYNC109
        """Return the bot's first message with an id above `after`, waiting for it up to `timeout` real seconds.

        Raises:
            PeopleError: none came.
        """

        def news() -> list[MessageView]:
            return [view for view in self.messages(by_bot=True) if view.message_id > after]

        try:
            async with asyncio.timeout(timeout):
                while not (found := news()):
                    await self._service.events.changed(self._service.events.last)
        except TimeoutError:
            raise PeopleError(f"No message came to chat {self.id} within {timeout:g} s.") from None
        return found[0]

    def _tell_membership(self, by: Account, old: Json, new: Json) -> None:
        body = {
            "chat": self._chat.as_json(),
            "from": by.as_user(),
            "date": int(self._service.clock.now()),
            "old_chat_member": {"user": self._service.bot, **old},
            "new_chat_member": {"user": self._service.bot, **new},
        }
        self._service.queue("my_chat_member", self._chat, body)
        self._service.events.add("membership", self.id, status=new["status"], by=by.id)


class Group(ChatSeen):
    """A group with the bot in it."""

    def add_bot(self, by: Account) -> None:
        """Let `by` add the bot."""
        self._chat.blocked = False
        self._tell_membership(by, {"status": "left"}, {"status": "member"})
        content = {"new_chat_members": [self._service.bot]}
        message = self._service.new_message(self._chat, by.as_user(), content)
        self._service.queue("message", self._chat, message)

    def remove_bot(self, by: Account) -> None:
        """Let `by` put the bot out; what it sends is refused from now on."""
        self._chat.blocked = True
        self._tell_membership(by, {"status": "member"}, {"status": "kicked", "until_date": 0})

    def upgrade(self, new_id: int, by: Account) -> int:
        """Turn the group into a supergroup with another id, as the service does by itself; return the new id."""
        new = self._service.new_chat(new_id, "supergroup", self._chat.title, None)
        new.members = self._chat.members
        user = by.as_user()
        moved = self._service.new_message(self._chat, user, {"migrate_to_chat_id": new_id})
        self._service.queue("message", self._chat, moved)
        arrived = self._service.new_message(new, user, {"migrate_from_chat_id": self.id})
        self._service.queue("message", new, arrived)
        self._chat.migrated_to = new_id
        self._chat = new
        return new_id
