"""How many reminders a day: fewer while they go unanswered, and fewer or more when a carer asks.

The steps are scheduling/budget.py's. families.budget is what a day may have now (none: all that the plan allows),
families.asked_load the most that a carer asked for (0: nobody ever said).
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Literal

from bot.conversation.desk import Desk, Talk
from bot.records import day, notes, outbox, people
from bot.records.people import Family
from bot.say import Button, Buttons, row
from scheduling.budget import FLOOR, PromptLoad, fewer, first_load, more, next_budget
from scheduling.plan import Plan

Wish = Literal["fewer", "more"]
MOST_DAYS = 14  # looked back at after an outage
ABOUT = "load"  # what the answer to such a wish is about

_THINGS = r"(?:reminders?|messages?|prompts?|pings?|texts?|alerts?|notifications?|avisos?|recordatorios?|mensajes?|notificaciones)"
_FEWER = re.compile(
    rf"\b(?:fewer|less|not (?:so|as|that) many|too many|so many|menos|demasiad[oa]s|tant[oa]s|much[oa]s)\s+(?:of\s+)?"
    rf"(?:these\s+|those\s+|the\s+|de\s+)?{_THINGS}\b|\b(?:remind|message|text|ping) (?:me|us) less\b|\bav[ií]s(?:a|e|en)me menos\b",
    re.IGNORECASE,
)
_MORE = re.compile(
    rf"\b(?:more|m[aá]s)\s+{_THINGS}\b|\b(?:remind|message|text|ping) (?:me|us) more\b|\bav[ií]s(?:a|e|en)me m[aá]s\b",
    re.IGNORECASE,
)
_NO_MORE = re.compile(
    rf"\b(?:no|any|stop|without|don'?t|sin|ya no)\b[^.!?]*\b(?:more|m[aá]s)\s+{_THINGS}\b", re.IGNORECASE
)


def wish_in(text: str) -> Wish | None:
    """Return whether a message asks for fewer or more reminders; None for anything else ("no more reminders" too)."""
    if _FEWER.search(text):
        return "fewer"
    return "more" if _MORE.search(text) and not _NO_MORE.search(text) else None


def load_of(family: Family, plan: Plan) -> PromptLoad:
    """Return the load that a family has now."""
    asked = family.asked_load or None
    return first_load(plan.most_prompts) if family.budget is None else PromptLoad(family.budget, asked)


async def weigh(desk: Desk, family: Family, plan: Plan, today: date) -> Family:
    """Adapt the day's budget to the days that are over, once a local day; return the family as it is then."""
    if family.budget_on is not None and family.budget_on >= today:
        return family
    load = before = load_of(family, plan)
    first = max(family.budget_on or today, today - timedelta(days=MOST_DAYS))
    for offset in range((today - first).days):
        sent, answered = await day.sent_and_answered(desk.conn, family.id, first + timedelta(days=offset))
        load = next_budget(load, plan.most_prompts, sent=sent, answered=answered)
    await people.change_family(desk.conn, family.id, budget_on=today)
    if load != before:
        await _keep(desk, family, before, load, asked=False)
    changed = await people.family(desk.conn, family.id)
    assert changed is not None
    return changed


async def _keep(desk: Desk, family: Family, before: PromptLoad, after: PromptLoad, *, asked: bool) -> None:
    await people.change_family(desk.conn, family.id, budget=after.budget, asked_load=after.asked or 0)
    if after.budget != before.budget:
        await notes.add(
            desk.conn, family.id, "load", desk.now, before=before.budget, after=after.budget, asked=asked
        )


async def asked(talk: Talk, wish: Wish) -> tuple[str, Buttons]:
    """Do what a carer asks: one reminder a day fewer or more, from now on; return what to say."""
    plan = (await talk.plan()).plan
    before = load_of(talk.family, plan)
    after = (fewer if wish == "fewer" else more)(before, plan.most_prompts)
    await _keep(talk.desk, talk.family, before, after, asked=True)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    words = talk.words
    if after.budget != before.budget:
        return words("load.now", n=after.budget), load_buttons(talk)
    if wish == "more":
        therapist = (await talk.therapist()).name
        return words("load.plan_allows", n=after.budget, therapist=therapist), ()
    text = words("load.is_least", n=min(FLOOR, plan.most_prompts))
    return text, (row(Button(words.plain("load.pause_button"), "pause:ask")),)


def load_buttons(talk: Talk) -> Buttons:
    return (
        row(
            Button(talk.words.plain("load.fewer_button"), "load:fewer"),
            Button(talk.words.plain("load.more_button"), "load:more"),
        ),
    )


async def pressed_load(talk: Talk, argument: str) -> None:
    """A tap for fewer or more: the answer changes in place; other messages with these buttons stay as they are."""
    if argument == "fewer" or argument == "more":
        await talk.note()
        text, buttons = await asked(talk, "fewer" if argument == "fewer" else "more")
        pressed = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id or 0)
        if pressed is not None and pressed.about == ABOUT:
            await talk.edit(pressed.id, talk.named(text), buttons)
        else:
            await talk.answer(text, buttons=buttons, about=ABOUT)
