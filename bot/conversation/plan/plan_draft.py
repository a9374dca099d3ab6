"""A therapist's draft of one family's plan: what it holds, how it is changed, and how it is shown."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan import plan_buttons as choices
from bot.conversation.plan.plan_changes import Change, Note, applied
from bot.conversation.plan.plan_checks import Finding, findings_of
from bot.conversation.plan.plan_lines import finding_shown, plan_text
from bot.conversation.plan.plan_templates import starting_values
from bot.phrases import Words, words_for
from bot.records import day, drafts, outbox, people
from bot.records.day import PlanVersion
from bot.records.drafts import Draft
from bot.records.people import Family, Therapist
from bot.say import Buttons, Say
from scheduling.plan import Plan

STEP = "plan"
ABOUT = "draft:"  # with the draft's number: what our messages about it are about


@dataclass(slots=True)
class Building:
    """A therapist at work on one draft. in_force: the family's plan as it stands."""

    desk: Desk
    incoming: Incoming
    therapist: Therapist
    family: Family
    draft: Draft
    in_force: PlanVersion

    @property
    def words(self) -> Words:
        return words_for(self.therapist.language)

    @property
    def today(self) -> date:
        return self.family.local(self.desk.now).date()

    @property
    def changed(self) -> bool:
        return self.draft.plan != self.in_force.plan

    @property
    def about(self) -> str:
        return f"{ABOUT}{self.draft.id}"

    def name_of(self, activity: str) -> str:
        return self.desk.library.name(activity, self.therapist.language)

    def findings(self) -> tuple[Finding, ...]:
        """Return what stands against sending the draft."""
        return findings_of(
            self.draft.plan,
            self.desk.library,
            self.today,
            before=self.in_force.plan if self.in_force.made_by == self.therapist.id else None,
        )

    async def say(self, text: str, buttons: Buttons = ()) -> None:
        """Say something in a message of its own; a quoting reply to it is a line about this draft."""
        await self.desk.say(Say(chat_id=self.incoming.chat_id, text=text, buttons=buttons, about=self.about))

    async def show(self, text: str, buttons: Buttons) -> None:
        """Put a text in place of the message whose button was pressed; after a typed line, in a new message."""
        if self.incoming.press is not None and self.incoming.message_id is not None:
            pressed = await outbox.said_as(self.desk.conn, self.incoming.chat_id, self.incoming.message_id)
            if pressed is not None and pressed.about == self.about:
                await self.desk.say(
                    Say(chat_id=self.incoming.chat_id, text=text, buttons=buttons, edits=pressed.id)
                )
                return
        await self.say(text, buttons)

    async def keep(self, plan: Plan) -> None:
        await drafts.change(self.desk.conn, self.draft.id, plan, self.desk.now)
        self.draft = replace(self.draft, plan=plan)

    async def listen(self) -> None:
        """Have the next typed line of this chat read as one about this draft."""
        chat = await people.chat(self.desk.conn, self.incoming.chat_id)
        if chat.step == STEP and chat.data.get("draft") == self.draft.id:
            return  # and whatever else the chat keeps stays
        await people.set_step(self.desk.conn, self.incoming.chat_id, STEP, draft=self.draft.id)


Act = Callable[[Building, str], Awaitable[None]]
"""What a button of a draft does, with what stands after its operation."""


async def building_for(
    desk: Desk, incoming: Incoming, therapist: Therapist, family: Family
) -> Building | None:
    in_force = await day.plan_of(desk.conn, family.id)
    if in_force is None:
        return None
    draft = await drafts.draft_for(desk.conn, therapist.id, family.id)
    if draft is None:
        number = await drafts.begin(
            desk.conn, therapist.id, family.id, in_force.plan, in_force.version, desk.now
        )
        draft = Draft(number, therapist.id, family.id, in_force.plan, in_force.version)
    elif draft.base_version != in_force.version:
        draft = await _caught_up(desk, draft, in_force)
    return Building(desk, incoming, therapist, family, draft, in_force)


async def _caught_up(desk: Desk, draft: Draft, in_force: PlanVersion) -> Draft:
    """A draft in which nothing was changed yet follows the plan in force; one with changes stays as it is."""
    versions = await day.plan_versions(desk.conn, draft.family_id)
    base = next((each.plan for each in versions if each.version == draft.base_version), None)
    if draft.plan != base:
        return draft
    await drafts.change(desk.conn, draft.id, in_force.plan, desk.now, base_version=in_force.version)
    return replace(draft, plan=in_force.plan, base_version=in_force.version)


async def change(building: Building, made: Iterable[Change]) -> tuple[Note, ...]:
    """Make changes to the draft; return what must be told about them."""
    plan, notes = applied(building.draft.plan, made, starting_values())
    if plan != building.draft.plan:
        await building.keep(plan)
    return notes


async def show_draft(building: Building, *, said: Iterable[str] = (), anew: bool = False) -> None:
    """Show the draft whole, what is new in it marked. said: what must be told first. anew: in a message of its own."""
    words = building.words
    title = "plan.draft_title" if building.changed else "plan.in_force_title"
    stops = [each for each in building.findings() if each.level == "stop"] if building.changed else []
    text = "\n".join(
        [
            *said,
            words(title, nickname=building.family.nickname, version=building.in_force.version),
            plan_text(building.draft.plan, building.in_force.plan, words, building.name_of),
            *(finding_shown(each, words, building.name_of) for each in stops),
            words("plan.how_to"),
        ]
    )
    buttons = choices.draft_buttons(building.draft.id, words, changed=building.changed)
    await (building.say if anew else building.show)(text, buttons)
