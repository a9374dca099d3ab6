"""A person in a chat: everything that they can do there."""

from __future__ import annotations

import base64
import re
from urllib.parse import parse_qs, urlsplit

from demo.messaging.arguments import Arguments
from demo.messaging.chats import Account, Chat, Json
from demo.messaging.entities import found_entities
from demo.messaging.errors import PeopleError
from demo.messaging.methods.media import described
from demo.messaging.seen import ChatSeen
from demo.messaging.service import Service
from demo.messaging.updates import MESSAGE_LIFE, PRESS_LIFE
from demo.messaging.views import Button, view_of

PAYLOAD = re.compile(r"[A-Za-z0-9_-]{1,64}")
# The smallest GIF there is, for whoever sends "a photo" and does not care which.
SMALL_PICTURE = base64.b64decode("R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7")


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
            self._service.events.add("keyboard", chat.id, keyboard=None)
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
