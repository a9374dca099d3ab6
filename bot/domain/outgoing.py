"""What is to be said: a plain value that conversation makes, the outbox keeps and the messenger sends."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal, Self

from bot.domain.ids import ChatId, FamilyId, OutboxId
from bot.domain.rendering import RenderRequest
from bot.domain.subject import Subject

Kind = Literal["press", "concern", "reply", "reminder", "digest", "tidy"]

# The lower goes first. A pressed button waits for its answer on the phone, and a concern for nobody. What only tidies
# up (buttons of a closed reminder) goes when nothing else has to.
PRIORITY: dict[Kind, int] = {"press": 0, "concern": 1, "reply": 2, "reminder": 3, "digest": 4, "tidy": 5}


@dataclass(frozen=True, slots=True)
class Button:
    """A button under a message. label: at most 24 characters. data: "verb:argument", at most 64 bytes."""

    label: str
    data: str


Buttons = tuple[tuple[Button, ...], ...]


def row(*buttons: Button) -> tuple[Button, ...]:
    return buttons


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that goes with a message: its content, or the messaging service's own id of a file it holds."""

    kind: Literal["picture", "document", "video", "voice"]
    name: str
    content: bytes | None = None
    file_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutgoingMessage:
    """One new message in one chat.

    text: message HTML (only <b>, <i>), already escaped.
    kind: sets the priority and what happens when the outcome of sending is unknown.
    key: what may be said once only; a second one with the same key is not kept.
    about: what a reply to this message is about.
    expires_at: not sent any more after this instant.
    reply_to: the service's id of the message it answers, shown above it.
    family: the id of the family that it speaks of, where there is one.
    render: what must be drawn before it can go. What is drawn brings its own text, buttons and files; what it does not
        bring stands as given here.
    """

    chat_id: ChatId
    text: str = ""
    kind: Kind = "reply"
    buttons: Buttons = ()
    about: Subject | None = None
    key: str | None = None
    attachment: Attachment | None = None
    expires_at: datetime | None = None
    reply_to: int | None = None
    family: FamilyId | None = None
    render: RenderRequest | None = None

    def to(self, chat_id: ChatId) -> Self:
        return replace(self, chat_id=chat_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class MessageEdit:
    """A change in place of an earlier message; with text "" only its buttons change, or go.

    edits: the outbox id of the earlier message. sent: it is known to have gone out, so it is not held anywhere.
    The rest as in OutgoingMessage.
    """

    chat_id: ChatId
    edits: OutboxId
    text: str = ""
    kind: Kind = "reply"
    buttons: Buttons = ()
    about: Subject | None = None
    family: FamilyId | None = None
    render: RenderRequest | None = None
    sent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PressAnswer:
    """The answer to a pressed button: a passing note of at most 200 characters, or nothing but the end of its wait."""

    chat_id: ChatId
    press: str  # the service's id of the press
    text: str = ""


ToSay = OutgoingMessage | MessageEdit | PressAnswer


@dataclass(frozen=True, slots=True)
class Drawn:
    """One message that was drawn for a request."""

    text: str = ""
    buttons: Buttons = ()
    attachment: Attachment | None = None


LONGEST_TEXT = 4096  # characters of one message after its markup is read (the service's published limit)
LONGEST_CAPTION = 1024


def visible_length(text: str) -> int:
    """Return the length that the service counts, at most: UTF-16 units without markup."""
    return len(html.unescape(_TAG.sub("", text)).encode("utf-16-le", "surrogatepass")) // 2


def parts_of(text: str, most: int = LONGEST_TEXT) -> list[str]:
    """Cut message HTML into parts that each fit into one message, at line ends where there are any.

    Markup never spans a line in our phrases, so that a cut at a line end leaves no tag open. Nothing is left out.
    """
    if visible_length(text) <= most:
        return [text]
    parts: list[str] = []
    current = ""
    for line in text.split("\n"):
        for piece in _pieces(line, most):
            joined = f"{current}\n{piece}" if current else piece
            if visible_length(joined) <= most:
                current = joined
            else:
                parts.append(current)
                current = piece
    return [part for part in [*parts, current] if part.strip()]


def _pieces(line: str, most: int) -> list[str]:
    if visible_length(line) <= most:
        return [line]
    # A line this long is somebody's own words: no markup in it but escapes, which must not be cut in two.
    plain = html.unescape(_TAG.sub("", line))
    step = most // 2  # every character is at most two units
    return [html.escape(plain[i : i + step], quote=False) for i in range(0, len(plain), step)]


_TAG = re.compile(r"</?[bi]>")
