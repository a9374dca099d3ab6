"""A therapist's draft of one family's plan: what it holds, how it is changed, and how it is shown."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from bot.domain.actor import Actor
from bot.domain.ids import OutboxId
from bot.domain.outgoing import Buttons, MessageEdit, OutgoingMessage
from bot.domain.people import Family, Therapist
from bot.domain.plans import Draft, PlanVersion
from bot.domain.rendering import PreviewRequest
from bot.domain.subject import Subject
from bot.features.context import Context
from bot.features.events import ButtonPressed, Event
from bot.features.plan import buttons as choices
from bot.features.plan.checks import Finding, arm_starts_again, findings_of
from bot.features.plan.templates import starting_values
from bot.features.plan.therapist_view import finding_shown, plan_text
from bot.features.plan.workable import cannot_work
from bot.phrases import Words, words_for
from scheduling.plan import Plan
from scheduling.plan.edits import Change, Note, applied

STEP = "plan"


@dataclass(slots=True)
class Building:
    """A therapist at work on one draft. in_force: the family's plan as it stands."""

    context: Context
    event: Event
    therapist: Therapist
    family: Family
    draft: Draft
    in_force: PlanVersion

    @property
    def words(self) -> Words:
        return words_for(self.therapist.language)

    @property
    def today(self) -> date:
        return self.family.local(self.context.now).date()

    @property
    def changed(self) -> bool:
        return self.draft.plan != self.in_force.plan

    @property
    def about(self) -> Subject:
        return Subject.of("draft", self.draft.id)

    def name_of(self, activity: str) -> str:
        return self.context.library.name(activity, self.therapist.language)

    def dangers(self) -> tuple[Finding, ...]:
        """Return what is unsafe or unusual in the draft; nothing where it only lets the arm rest."""
        if self._only_rests:
            return arm_starts_again(self.draft.plan, self.in_force.plan)
        found = findings_of(
            self.draft.plan,
            self.context.library,
            self.today,
            before=self.in_force.plan
            if self.in_force.made_by == Actor.therapist(self.therapist.id)
            else None,
        )
        return (*found, *arm_starts_again(self.draft.plan, self.in_force.plan))

    def findings(self) -> tuple[Finding, ...]:
        """Return all that stands against sending the draft: what is unsafe, then what cannot be done as it says."""
        if self._only_rests:
            return self.dangers()
        plan, before = self.draft.plan, self.in_force.plan
        tomorrow = self.today + timedelta(days=1)
        return (*self.dangers(), *cannot_work(plan, self.context.library, tomorrow, before=before))

    @property
    def _only_rests(self) -> bool:
        return self.draft.plan == replace(self.in_force.plan, arm_hold=self.draft.plan.arm_hold)

    def say(self, text: str, buttons: Buttons = ()) -> None:
        """Say something in a message of its own; a quoting reply to it is a line about this draft."""
        self.context.say(
            OutgoingMessage(chat_id=self.event.chat_id, text=text, buttons=buttons, about=self.about)
        )

    def show(self, text: str, buttons: Buttons) -> None:
        """Put a text in place of the message whose button was pressed; after a typed line, in a new message."""
        if (edits := self._shown()) is None:
            self.say(text, buttons)
            return
        self.context.say(MessageEdit(chat_id=self.event.chat_id, text=text, buttons=buttons, edits=edits))

    def render(self, wanted: PreviewRequest) -> None:
        """Have something drawn in words, to stand where `show` would put it."""
        chat_id, shown = self.event.chat_id, self._shown()
        if shown is None:
            self.context.say(OutgoingMessage(chat_id=chat_id, about=self.about, render=wanted))
        else:
            self.context.say(MessageEdit(chat_id=chat_id, about=self.about, render=wanted, edits=shown))

    def _shown(self) -> OutboxId | None:
        """Return the message about this draft whose button was pressed."""
        if not isinstance(self.event, ButtonPressed):
            return None
        pressed = self.context.uow.outbox.said_as(self.event.chat_id, self.event.message_id)
        return pressed.id if pressed is not None and pressed.about == self.about else None

    def keep(self, plan: Plan) -> None:
        self.context.uow.drafts.save(self.draft.id, plan, self.context.now)
        self.draft = replace(self.draft, plan=plan)

    def listen(self) -> None:
        """Have the next typed line of this chat read as one about this draft."""
        dialog = self.context.uow.chats.get(self.event.chat_id).dialog
        if dialog.step == STEP and dialog.number("draft") == self.draft.id:
            return  # and whatever else the chat keeps stays
        self.context.uow.chats.start_dialog(self.event.chat_id, STEP, {"draft": self.draft.id})


Act = Callable[[Building, str], None]
"""What a button of a draft does, with what stands after its operation."""


def building_for(context: Context, event: Event, therapist: Therapist, family: Family) -> Building | None:
    in_force = context.uow.plans.current(family.id)
    if in_force is None:
        return None
    draft = context.uow.drafts.of_family(therapist.id, family.id)
    if draft is None:
        number = context.uow.drafts.begin(
            therapist.id, family.id, in_force.plan, in_force.version, context.now
        )
        draft = Draft(number, therapist.id, family.id, in_force.plan, in_force.version)
    elif draft.base_version != in_force.version:
        draft = _caught_up(context, draft, in_force)
    return Building(context, event, therapist, family, draft, in_force)


def _caught_up(context: Context, draft: Draft, in_force: PlanVersion) -> Draft:
    """A draft in which nothing was changed yet follows the plan in force; one with changes stays as it is."""
    versions = context.uow.plans.versions(draft.family_id)
    base = next((each.plan for each in versions if each.version == draft.base_version), None)
    if draft.plan != base:
        return draft
    context.uow.drafts.rebase(draft.id, in_force.plan, in_force.version, context.now)
    return replace(draft, plan=in_force.plan, base_version=in_force.version)


def change(building: Building, made: Iterable[Change]) -> tuple[Note, ...]:
    """Make changes to the draft; return what must be told about them."""
    plan, notes = applied(building.draft.plan, made, starting_values())
    if plan != building.draft.plan:
        building.keep(plan)
    return notes


def show_draft(
    building: Building, *, said: Iterable[str] = (), anew: bool = False, only_new: bool = False
) -> None:
    """Show the draft whole, what is new in it marked. said: what must be told first. anew: in a message of its own.

    only_new: show only what differs from the plan in force, with a way to the whole of it.
    """
    words = building.words
    only_new = only_new and building.changed
    title = "plan.draft_title" if building.changed else "plan.in_force_title"
    stops = [each for each in building.dangers() if each.level == "stop"] if building.changed else []
    text = "\n".join(
        [
            *said,
            words(title, nickname=building.family.nickname, version=building.in_force.version),
            plan_text(
                building.draft.plan, building.in_force.plan, words, building.name_of, only_new=only_new
            ),
            *(finding_shown(each, words, building.name_of) for each in stops),
            *(() if only_new else (words("plan.how_to"), words("arm.how_to"))),
        ]
    )
    buttons = (
        choices.change_buttons(building.draft.id, words)
        if only_new
        else choices.draft_buttons(building.draft.id, words, changed=building.changed)
    )
    (building.say if anew else building.show)(text, buttons)
