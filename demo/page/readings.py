"""What each message was read as, by the program's own reader in the very situation in which it was read."""

from __future__ import annotations

from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.events import TextWritten
from bot.features.routing.carer_message import reading_of
from bot.replies.reading import Reading
from bot.storage.store import Store
from demo.messaging.views import MessageView
from demo.rehearsal import Rehearsal


class Readings:
    """Looks at what people wrote before the bot takes it, so that the reminder it answers is still the open one."""

    def __init__(self, store: Store, rehearsal: Rehearsal) -> None:
        self._store, self._rehearsal = store, rehearsal
        self._seen: dict[tuple[int, int], str] = {}
        self._readings: dict[tuple[int, int], Reading] = {}
        self._reminders: dict[tuple[int, int], int] = {}

    def of(self, chat_id: int, message_id: int) -> Reading | None:
        """Return the reading of a carer's message, None for a command, a file, or a therapist's words."""
        return self._readings.get((chat_id, message_id))

    def reminder_of(self, chat_id: int, message_id: int) -> int | None:
        """Return the number of the reminder that a message of the bot is, answered or not."""
        return self._reminders.get((chat_id, message_id))

    def look_back(self) -> None:
        """Note which messages are reminders, by the buttons that they came with."""
        for person in list(self._rehearsal.server.people):
            for message in person.messages(by_bot=True):
                for button in (button for line in message.buttons for button in line):
                    read = verbs.pressed(button.data or "")
                    if read is not None and read[0] == verbs.DONE.name:
                        self._reminders.setdefault((person.id, message.message_id), int(str(read[1][0])))

    def look(self) -> None:
        """Read whatever was written or changed since the last look."""
        for person in list(self._rehearsal.server.people):
            for message in person.messages(by_bot=False):
                key = (person.id, message.message_id)
                if message.text and self._seen.get(key) != message.text:
                    self._seen[key] = message.text
                    self._read(message)

    def _read(self, message: MessageView) -> None:
        if message.text.startswith("/"):
            return
        with self._store.read() as uow:
            context = self._rehearsal.parts.router.context(uow)
            carers = uow.carers.in_chat(message.chat_id)
            if context is None or not carers:
                return
            event = TextWritten(
                chat_id=message.chat_id,
                user_id=message.sender_id,
                user_name=message.sender,
                at=context.now,
                message_id=message.message_id,
                text=message.text,
                reply_to=message.reply_to,
            )
            ctx = CarerContext(context, event, carers[0], uow.families.get(carers[0].family_id))
            self._readings[message.chat_id, message.message_id] = reading_of(ctx)
