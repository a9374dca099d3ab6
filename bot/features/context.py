"""What a conversation works with: one transaction, the moment, the clinic, and who is talking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from bot.activities.library import Library
from bot.domain.dialogs import DialogState
from bot.domain.ids import ChatId, OutboxId
from bot.domain.json_value import JsonValue
from bot.domain.outgoing import Attachment, Buttons, Kind, MessageEdit, OutgoingMessage, PressAnswer, ToSay
from bot.domain.people import UNTIL_BACK, Carer, Clinic, Family, Numbers, Therapist
from bot.domain.plans import PlanVersion
from bot.domain.quiet_hours import quiet_until
from bot.domain.rendering import RenderRequest
from bot.domain.subject import Subject
from bot.features.events import ButtonPressed, Event, reply_of, text_of
from bot.parsing.stay import names_elsewhere
from bot.phrases import Verbatim, Words, words_for
from bot.storage.repositories.outbox import Said
from bot.storage.unit_of_work import UnitOfWork


@dataclass(slots=True)
class Context:
    """One transaction's worth of work. `now` is read once; `bot_name` makes invitation links; `slack` is how late a
    rehearsal clock may make a reminder; `asked_by` is the therapist whose own act this is: what they ask for comes
    at once, in their quiet time too; `press_note` is what the passing note on a therapist's pressed button says; `learning`: the clinic lets reminders move
    by what is learned."""

    uow: UnitOfWork
    now: datetime
    clinic: Clinic
    library: Library
    bot_name: str | None = None
    slack: timedelta = timedelta()
    asked_by: str | None = None
    press_note: str = ""
    learning: bool = True

    def numbers(self, family: Family | None, language: str, told: str = "") -> Numbers:
        """Return whom a family calls where it is now: its own numbers, else the clinic's; None for who has no family.

        On a trip the emergency number is said in words, since the one of home may be wrong there; likewise where a
        carer's words tell of another place. told: the words that are answered.
        """
        clinic, own = self.clinic, family or self.clinic
        crisis = own.crisis_line or own.emergency_line or clinic.crisis_line
        if family is None or not (family.away or (told and names_elsewhere(told, (family.zone.key,)))):
            return Numbers(
                own.emergency_line or clinic.emergency_line, own.nurse_line or clinic.nurse_line, crisis
            )
        there = words_for(language).plain("travel.emergency_there")
        return Numbers(there, own.nurse_line or clinic.nurse_line, there)

    def say(self, say: ToSay) -> OutboxId | None:
        return self.uow.outbox.put(say, self.now)

    def tell_therapist(
        self,
        therapist: Therapist,
        text: str,
        *,
        kind: Kind = "reply",
        buttons: Buttons = (),
        about: Subject | None = None,
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
        if isinstance(event, ButtonPressed):
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
    family_carers: tuple[Carer, ...] | None = None  # all of the family, where they are loaded already
    heard: bool = False  # it is noted already that the family was heard from
    loaded: object = (
        None  # what a decision was loaded from (bot/features/state.py); gone once something changed
    )
    words: Words = field(init=False)
    _plan: PlanVersion | None = field(init=False, default=None)
    _dialog: DialogState | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.words = words_for(self.carer.language)

    @property
    def uow(self) -> UnitOfWork:
        return self.context.uow

    @property
    def now(self) -> datetime:
        return self.context.now

    @property
    def numbers(self) -> Numbers:
        """Whom this carer calls, in their language."""
        return self.context.numbers(self.family, self.carer.language, self.text)

    @property
    def today(self) -> date:
        return self.family.local(self.now).date()

    @property
    def chat_id(self) -> ChatId:
        return self.event.chat_id

    @property
    def text(self) -> str:
        return text_of(self.event)

    @property
    def reply_to(self) -> int | None:
        """Return the message that this one answers by quoting it."""
        return reply_of(self.event)

    def renewed(self, event: Event | None = None) -> CarerContext:
        """Return this talk with what changed of carer and family since."""
        carer = self.uow.carers.get(self.family.id, self.carer.id)
        family = self.uow.families.get(self.family.id)
        return CarerContext(self.context, event or self.event, carer, family, self.several, self.names)

    def plan(self) -> PlanVersion:
        """Return the plan in force. A family cannot be without one: it is loaded with it."""
        if self._plan is None:
            self._plan = self.uow.plans.get(self.family.id)
        return self._plan

    def dialog(self) -> DialogState:
        """Return where a talk of several steps stands in this chat."""
        if self._dialog is None:
            self._dialog = self.uow.chats.get(self.chat_id).dialog
        return self._dialog

    def start_dialog(self, step: str, data: Mapping[str, JsonValue]) -> None:
        """Remember what the next message of this chat may answer."""
        self.uow.chats.start_dialog(self.chat_id, step, data)
        self._dialog = None

    def end_dialog(self) -> None:
        if self.dialog().step is not None:
            self.uow.chats.end_dialog(self.chat_id)
            self._dialog = None

    def pressed(self) -> Said | None:
        """Return our message under which a button was pressed; None for anything but a press."""
        if not isinstance(self.event, ButtonPressed):
            return None
        return self.uow.outbox.said_as(self.chat_id, self.event.message_id)

    def answered_in_words(self, outbox_id: OutboxId) -> bool:
        """Say whether a yes, a no or a button's own words answered this message, and no tap."""
        typed = isinstance(self.event, ButtonPressed) and self.event.press is None
        said = self.pressed() if typed else None
        return said is not None and said.id == outbox_id

    def therapist(self) -> Therapist:
        return self.uow.therapists.get(self.family.therapist_id)

    def named(self, text: str) -> str:
        """Put the baby's name before a text where the chat has several babies."""
        return (
            self.words("edge.for_baby", nickname=self.names or self.family.nickname, text=Verbatim(text))
            if self.several
            else text
        )

    def answer(
        self,
        text: str,
        *,
        kind: Kind = "reply",
        buttons: Buttons = (),
        about: Subject | None = None,
        attachment: Attachment | None = None,
        render: RenderRequest | None = None,
    ) -> OutboxId | None:
        """Say something in this chat; return its outbox id. render: what is drawn before it can be sent."""
        return self.context.say(
            OutgoingMessage(
                chat_id=self.chat_id,
                text=self.named(text),
                family=self.family.id,
                kind=kind,
                buttons=buttons,
                about=about,
                attachment=attachment,
                render=render,
            )
        )

    def note(self, text: str = "") -> None:
        """Answer a pressed button with a passing note (at most 200 characters)."""
        if not isinstance(self.event, ButtonPressed):
            return
        if self.event.press is not None:
            self.context.say(PressAnswer(chat_id=self.chat_id, text=text, press=self.event.press))
        elif text:
            self.answer(text)

    def edit(self, outbox_id: OutboxId | None, text: str, buttons: Buttons = ()) -> None:
        """Change an earlier message in place; with text "" only its buttons.

        Where that message was answered in words and not by a tap, what changes is said below those words.
        """
        if outbox_id is None:
            return
        if text and self.answered_in_words(outbox_id):
            self.context.say(
                OutgoingMessage(chat_id=self.chat_id, text=text, buttons=buttons, family=self.family.id)
            )
            text, buttons = "", ()
        self.context.say(
            MessageEdit(
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
