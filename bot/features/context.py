"""What a conversation works with: one transaction, the moment, the clinic, and who is talking."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.activities.library import Library
from bot.domain.outgoing import Attachment, Buttons, Kind, OutgoingMessage
from bot.domain.people import UNTIL_BACK, Carer, Clinic, Family, Therapist
from bot.domain.plans import PlanVersion
from bot.domain.quiet_hours import quiet_until
from bot.domain.rendering import RenderRequest
from bot.features.events import Event
from bot.phrases import Verbatim, Words, words_for
from bot.storage.unit_of_work import UnitOfWork


@dataclass(slots=True)
class Context:
    """One transaction's worth of work. `now` is read once; `bot_name` makes invitation links; `slack` is how late a
    rehearsal clock may make a reminder; `asked_by` is the therapist whose own act this is: what they ask for comes
    at once, in their quiet time too; `press_note` is what the passing note on a therapist's pressed button says."""

    uow: UnitOfWork
    now: datetime
    clinic: Clinic
    library: Library
    bot_name: str | None = None
    slack: timedelta = timedelta()
    asked_by: str | None = None
    press_note: str = ""

    def say(self, say: OutgoingMessage) -> int | None:
        return self.uow.outbox.put(say, self.now)

    def tell_therapist(
        self,
        therapist: Therapist,
        text: str,
        *,
        kind: Kind = "reply",
        buttons: Buttons = (),
        about: str | None = None,
        attachment: Attachment | None = None,
        key: str | None = None,
        reply_to: int | None = None,
        render: RenderRequest | None = None,
    ) -> int | None:
        """Tell a therapist something; None where they have no chat yet or it was told before.

        Everything but a concern waits for the end of their quiet time, and until they are back where they blocked us.
        """
        if therapist.chat_id is None:
            return None
        say = OutgoingMessage(
            chat_id=therapist.chat_id,
            text=text,
            kind=kind,
            buttons=buttons,
            about=about,
            attachment=attachment,
            key=key,
            reply_to=reply_to,
            render=render,
        )
        return self.uow.outbox.put(say, self.now, held_until=self._held_until(therapist, kind))

    def say_making(self, event: Event, therapist: Therapist) -> None:
        """Tell a therapist at once that what they asked for is being made: it may take more than a second."""
        words = words_for(therapist.language)
        if event.press is not None:
            self.press_note = words.plain("edge.making")
        else:
            self.tell_therapist(therapist, words("edge.making"))

    def _held_until(self, therapist: Therapist, kind: Kind) -> datetime | None:
        if therapist.unreachable:
            return UNTIL_BACK
        if kind == "concern" or self.asked_by == therapist.id:
            return None
        if therapist.quiet_from is None or therapist.quiet_to is None:
            return None
        start, end = time.fromisoformat(therapist.quiet_from), time.fromisoformat(therapist.quiet_to)
        return quiet_until(start, end, self.now, self.clinic.zone)


@dataclass(slots=True)
class CarerContext:
    """A carer talking about one baby.

    several: this chat has more than one baby, so each is named. names: what to call them where a message speaks of
    more than one. concerns_raised: the message's concerns are told already.
    """

    context: Context
    event: Event
    carer: Carer
    family: Family
    several: bool = False
    names: str = ""
    concerns_raised: bool = False
    words: Words = field(init=False)
    _plan: PlanVersion | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.words = words_for(self.carer.language)

    @property
    def uow(self) -> UnitOfWork:
        return self.context.uow

    @property
    def now(self) -> datetime:
        return self.context.now

    @property
    def today(self) -> date:
        return self.family.local(self.now).date()

    @property
    def chat_id(self) -> int:
        return self.event.chat_id

    def renewed(self, event: Event | None = None) -> CarerContext:
        """Return this talk with what changed of carer and family since."""
        carer = self.uow.carers.find(self.family.id, self.carer.id)
        family = self.uow.families.find(self.family.id)
        assert carer is not None and family is not None
        return CarerContext(self.context, event or self.event, carer, family, self.several, self.names)

    def plan(self) -> PlanVersion:
        """Return the plan in force. A family cannot be without one: it is loaded with it."""
        if self._plan is None:
            self._plan = self.uow.plans.current(self.family.id)
        assert self._plan is not None
        return self._plan

    def therapist(self) -> Therapist:
        found = self.uow.therapists.find(self.family.therapist_id)
        assert found is not None
        return found

    def named(self, text: str) -> str:
        """Put the baby's name before a text where the chat has several babies."""
        return (
            self.words("edge.for_baby", nickname=self.names or self.family.nickname, text=Verbatim(text))
            if self.several
            else text
        )

    def answer(self, text: str, **fields: Any) -> int | None:
        """Say something in this chat. fields: those of OutgoingMessage."""
        return self.context.say(
            OutgoingMessage(chat_id=self.chat_id, text=self.named(text), family=self.family.id, **fields)
        )

    def note(self, text: str = "") -> None:
        """Answer a pressed button with a passing note (at most 200 characters)."""
        if self.event.press is not None:
            self.context.say(
                OutgoingMessage(chat_id=self.chat_id, text=text, press=self.event.press, kind="press")
            )

    def edit(self, outbox_id: int | None, text: str, buttons: Buttons = ()) -> None:
        """Change an earlier message in place; with text "" only its buttons."""
        if outbox_id is not None:
            self.context.say(
                OutgoingMessage(
                    chat_id=self.chat_id,
                    text=text,
                    buttons=buttons,
                    edits=outbox_id,
                    family=self.family.id,
                )
            )

    def activity_name(self, activity: str) -> str:
        return self.context.library.in_sentence(activity, self.carer.language)

    def side_name(self, side: str | None) -> str:
        match side:
            case "left":
                return self.words.plain("count.left")
            case "right":
                return self.words.plain("count.right")
            case _:
                return ""
