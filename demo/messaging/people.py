"""The people's side: what they do in their chats, and what they see there."""

from __future__ import annotations

import asyncio
import base64
import re
from collections.abc import Callable, Iterator, Sequence
from urllib.parse import parse_qs, urlsplit

from demo.messaging.arguments import Arguments
from demo.messaging.chats import Account, Chat, Json
from demo.messaging.entities import found_entities
from demo.messaging.errors import PeopleError
from demo.messaging.methods.commands import menu_for
from demo.messaging.methods.media import described
from demo.messaging.service import Service
from demo.messaging.updates import MESSAGE_LIFE, PRESS_LIFE
from demo.messaging.views import Button, MessageView, view_of

PAYLOAD = re.compile(r"[A-Za-z0-9_-]{1,64}")
# The smallest GIF there is, for whoever sends "a photo" and does not care which.
SMALL_PICTURE = base64.b64decode("R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7")


class People:
    """Everyone who can write to the bot, and the groups they share with it."""

    def __init__(self, service: Service) -> None:
        self._service = service
        self._persons: dict[int, Person] = {}
        self._groups: dict[int, Group] = {}

    def add(
        self,
        person_id: int,
        first_name: str = "Someone",
        *,
        last_name: str | None = None,
        username: str | None = None,
        language_code: str | None = "en",
        started: bool = True,
    ) -> Person:
        """Add a person; their chat has the same id. started: they have begun the chat, so the bot may write first."""
        if person_id <= 0 or person_id in self._persons:
            raise PeopleError(f"A person cannot have the id {person_id}: give one above 0 that is not taken.")
        account = Account(person_id, first_name, last_name, username, language_code)
        chat = self._service.new_chat(person_id, "private", None, account)
        chat.started = started
        person = Person(self._service, chat, account)
        self._persons[person_id] = person
        self._service.events.add("person", person_id, name=first_name)
        return person

    def add_group(
        self, group_id: int, title: str, members: Sequence[Person], *, bot_is_admin: bool = False
    ) -> Group:
        """Add a group to which its first member adds the bot, which is told so."""
        if group_id >= 0 or group_id in self._groups or not members:
            raise PeopleError(f"A group needs members and an id below 0 that is not taken, not {group_id}.")
        chat = self._service.new_chat(group_id, "group", title, None)
        chat.members = {person.id: person.account for person in members}
        chat.bot_is_admin = bot_is_admin
        group = Group(self._service, chat)
        self._groups[group_id] = group
        group.add_bot(members[0])
        return group

    def __getitem__(self, person_id: int) -> Person:
        try:
            return self._persons[person_id]
        except KeyError:
            raise PeopleError(f"There is no person {person_id}: add them first.") from None

    def __iter__(self) -> Iterator[Person]:
        return iter(self._persons.values())

    def group(self, group_id: int) -> Group:
        try:
            return self._groups[group_id]
        except KeyError:
            raise PeopleError(f"There is no group {group_id}: add it first.") from None

    def chat(self, chat_id: int) -> ChatSeen:
        """Return a person's chat or a group, by its id."""
        return self[chat_id] if chat_id > 0 else self.group(chat_id)

    @property
    def groups(self) -> list[Group]:
        return list(self._groups.values())

    async def until(self, condition: Callable[[], bool], timeout: float = 5.0) -> None:  # noqa: ASYNC109
        """Wait until `condition` holds, asking again at each event.

        Raises:
            PeopleError: it did not within `timeout` seconds of real time.
        """
        try:
            async with asyncio.timeout(timeout):
                while True:
                    last = self._service.events.last
                    if condition():
                        return
                    await self._service.events.changed(last)
        except TimeoutError:
            raise PeopleError(f"What was waited for did not happen within {timeout:g} s.") from None


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

    def add_bot(self, by: Person) -> None:
        """Let `by` add the bot."""
        self._chat.blocked = False
        self._tell_membership(by.account, {"status": "left"}, {"status": "member"})
        content = {"new_chat_members": [self._service.bot]}
        message = self._service.new_message(self._chat, by.account.as_user(), content)
        self._service.queue("message", self._chat, message)

    def remove_bot(self, by: Person) -> None:
        """Let `by` put the bot out; what it sends is refused from now on."""
        self._chat.blocked = True
        self._tell_membership(by.account, {"status": "member"}, {"status": "kicked", "until_date": 0})

    def upgrade(self, new_id: int, by: Person) -> int:
        """Turn the group into a supergroup with another id, as the service does by itself; return the new id."""
        new = self._service.new_chat(new_id, "supergroup", self._chat.title, None)
        new.members = self._chat.members
        user = by.account.as_user()
        moved = self._service.new_message(self._chat, user, {"migrate_to_chat_id": new_id})
        self._service.queue("message", self._chat, moved)
        arrived = self._service.new_message(new, user, {"migrate_from_chat_id": self.id})
        self._service.queue("message", new, arrived)
        self._chat.migrated_to = new_id
        self._chat = new
        return new_id


class Person(ChatSeen):
    """A person, and their own chat with the bot. Each act takes chat_id to happen in a group of theirs instead."""

    def __init__(self, service: Service, chat: Chat, account: Account) -> None:
        super().__init__(service, chat)
        self.account = account

    def say(self, text: str, *, reply_to: int | None = None, chat_id: int | None = None) -> int:
        """Write a message and return its message_id."""
        if not 1 <= len(text) <= 4096:
            raise PeopleError(f"A message has 1 to 4096 characters, not {len(text)}.")
        return self._write({"text": text, **_entities("entities", text)}, reply_to, chat_id)

    def open_invitation(self, invitation: str = "") -> int:
        """Open an invitation link (or its payload alone) and press Start; return the message_id of /start.

        A person who has blocked the bot unblocks it by this.
        """
        payload = self._payload(invitation)
        if self._chat.blocked:
            self.unblock()
        return self.say(f"/start {payload}".strip())

    def edit(self, message_id: int, text: str, *, chat_id: int | None = None) -> None:
        """Change the words of a message of one's own."""
        chat = self._place(chat_id)
        message = chat.messages.get(message_id)
        if message is None or message["from"]["id"] != self.account.id:
            raise PeopleError(f"Message {message_id} is not this person's to edit.")
        field = "text" if "text" in message else "caption"
        entities = "entities" if field == "text" else "caption_entities"
        kept = {name: value for name, value in message.items() if name not in (field, entities)}
        edited = {
            **kept,
            "edit_date": int(self._service.clock.now()),
            field: text,
            **_entities(entities, text),
        }
        chat.messages[message_id] = edited
        self._service.events.add("edited", chat.id, message=edited)
        if self._is_read(chat, edited):
            self._service.queue("edited_message", chat, edited)

    def photo(
        self,
        content: bytes = SMALL_PICTURE,
        caption: str = "",
        *,
        reply_to: int | None = None,
        chat_id: int | None = None,
    ) -> int:
        """Send a photo and return its message_id."""
        return self._send_file("photo", content, "photo.jpg", "image/jpeg", caption, 0, reply_to, chat_id)

    def video(
        self, content: bytes = b"a video", caption: str = "", *, seconds: int = 5, chat_id: int | None = None
    ) -> int:
        """Send a video and return its message_id."""
        return self._send_file("video", content, "video.mp4", "video/mp4", caption, seconds, None, chat_id)

    def voice(self, content: bytes = b"a voice", *, seconds: int = 3, chat_id: int | None = None) -> int:
        """Send a voice message and return its message_id."""
        return self._send_file("voice", content, "voice.oga", "audio/ogg", "", seconds, None, chat_id)

    def document(
        self,
        content: bytes = b"a document",
        name: str = "note.txt",
        *,
        mime_type: str = "text/plain",
        caption: str = "",
        chat_id: int | None = None,
    ) -> int:
        """Send a file and return its message_id."""
        return self._send_file("document", content, name, mime_type, caption, 0, None, chat_id)

    def sticker(self, emoji: str = "👍", *, chat_id: int | None = None) -> int:
        """Send a sticker and return its message_id."""
        stored = self._service.files.keep("sticker", emoji.encode(), "sticker.webp", "image/webp")
        content = described(stored, Arguments())
        content["sticker"]["emoji"] = emoji
        return self._write(content, None, chat_id)

    def press(
        self,
        label: str | None = None,
        *,
        data: str | None = None,
        message_id: int | None = None,
        chat_id: int | None = None,
        too_old: bool = False,
    ) -> str:
        """Press a button by the words on it or by its data, on the latest message that has it; return the query's id.

        too_old: the press reaches the bot after the time in which it can be answered.
        """
        chat = self._place(chat_id)
        found, button = self._button(chat, label, data, message_id)
        life = 0.0 if too_old else PRESS_LIFE
        press = self._service.new_press(chat, found, self.account.id, str(button.data), life=life)
        body = {
            "id": press.query_id,
            "from": self.account.as_user(),
            "message": chat.messages[found],
            "chat_instance": str(hash_of(chat.id)),
            "data": button.data,
        }
        self._service.events.add("press", chat.id, message_id=found, label=button.text, by=self.id)
        self._service.queue("callback_query", chat, body, life=PRESS_LIFE)
        return press.query_id

    def block(self, *, told: bool = True) -> None:
        """Block the bot. told: the bot hears of it; otherwise it learns by being refused."""
        if self._chat.blocked:
            return
        self._chat.blocked = True
        if told:
            self._tell_membership(self.account, {"status": "member"}, {"status": "kicked", "until_date": 0})

    def unblock(self) -> None:
        """Let the bot write again."""
        if self._chat.blocked:
            self._chat.blocked = False
            self._tell_membership(self.account, {"status": "kicked", "until_date": 0}, {"status": "member"})

    def close_account(self) -> None:
        """Leave the service for good."""
        self._chat.deactivated = True

    def _send_file(
        self,
        kind: str,
        content: bytes,
        name: str,
        mime_type: str,
        caption: str,
        seconds: int,
        reply_to: int | None,
        chat_id: int | None,
    ) -> int:
        stored = self._service.files.keep(kind, content, name, mime_type)
        fields = described(stored, Arguments({"duration": seconds}))
        if caption:
            fields |= {"caption": caption, **_entities("caption_entities", caption)}
        return self._write(fields, reply_to, chat_id)

    def _write(self, content: Json, reply_to: int | None, chat_id: int | None) -> int:
        chat = self._place(chat_id)
        if chat.blocked or chat.deactivated:
            raise PeopleError(f"Nothing can be written in chat {chat.id}: the bot is blocked there.")
        chat.started = True
        if reply_to is not None:
            quoted = self._service.quoted(chat, reply_to)
            if quoted is None:
                raise PeopleError(f"There is no message {reply_to} in chat {chat.id} to reply to.")
            content = {"reply_to_message": quoted, **content}
        message = self._service.new_message(chat, self.account.as_user(), content)
        if chat.keyboard and chat.keyboard.get("one_time_keyboard"):
            chat.keyboard = None
        if self._is_read(chat, message):
            self._service.queue("message", chat, message, life=MESSAGE_LIFE)
        return int(message["message_id"])

    def _place(self, chat_id: int | None) -> Chat:
        if chat_id is None or chat_id == self.id:
            return self._chat
        chat = self._service.chats.get(chat_id)
        if chat is None or self.id not in chat.members:
            raise PeopleError(f"Person {self.id} is in no chat {chat_id}.")
        return chat

    def _is_read(self, chat: Chat, message: Json) -> bool:
        """In a group a bot that is no administrator reads commands, mentions and replies to it alone (privacy mode)."""
        if not chat.is_group or chat.bot_is_admin:
            return True
        text = message.get("text") or message.get("caption") or ""
        replied = message.get("reply_to_message", {}).get("from", {}).get("id")
        named = f"@{self._service.bot['username']}" in text
        return bool(text.startswith("/") or named or replied == self._service.bot["id"])

    def _button(
        self, chat: Chat, label: str | None, data: str | None, message_id: int | None
    ) -> tuple[int, Button]:
        wanted = label if label is not None else data
        for number in [message_id] if message_id is not None else reversed(chat.messages):
            if number not in chat.messages:
                continue
            for row in view_of(chat, chat.messages[number]).buttons:
                for button in row:
                    if button.data is not None and wanted == (
                        button.text if label is not None else button.data
                    ):
                        return number, button
        raise PeopleError(f"There is no button {wanted!r} to press in chat {chat.id}.")

    def _payload(self, invitation: str) -> str:
        payload = invitation
        if "://" in invitation:
            parts = urlsplit(invitation)
            if parts.path.strip("/").lower() != self._service.bot["username"].lower():
                raise PeopleError(f"The invitation is for another bot than {self._service.bot['username']}.")
            payload = parse_qs(parts.query).get("start", [""])[0]
        if payload and not PAYLOAD.fullmatch(payload):
            raise PeopleError("An invitation's payload has 1 to 64 characters of A-Z, a-z, 0-9, _ and -.")
        return payload


def hash_of(chat_id: int) -> int:
    """Return a number that stands for a chat in button presses, always the same and not its id."""
    return (chat_id * 2_654_435_761) % 2**63


def _entities(field: str, text: str) -> Json:
    entities = found_entities(text, [])
    return {field: entities} if entities else {}
