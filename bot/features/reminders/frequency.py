"""How many reminders a day: fewer while they go unanswered, and fewer or more when a carer asks.

The steps are scheduling/budget.py's. families.budget is what a day may have now (none: all that the plan allows),
families.asked_load the most that a carer asked for (0: nobody ever said).
"""

from __future__ import annotations

from datetime import date, timedelta

from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.context import CarerContext, Context
from bot.parsing.answers import Wish
from scheduling.budget import FLOOR, PromptLoad, fewer, first_load, more, next_budget, wanted
from scheduling.plan import Plan

MOST_DAYS = 14  # looked back at after an outage
ABOUT = Subject("load")  # what the answer to such a wish is about


def load_of(family: Family, plan: Plan) -> PromptLoad:
    """Return the load that a family has now."""
    asked = family.asked_load or None
    return first_load(plan.most_prompts) if family.budget is None else PromptLoad(family.budget, asked)


def weigh(context: Context, family: Family, plan: Plan, today: date) -> Family:
    """Adapt the day's budget to the days that are over, once a local day; return the family as it is then."""
    if family.budget_on is not None and family.budget_on >= today:
        return family
    load = before = load_of(family, plan)
    first = max(family.budget_on or today, today - timedelta(days=MOST_DAYS))
    for offset in range((today - first).days):
        sent, answered = context.uow.reminders.sent_and_answered(family.id, first + timedelta(days=offset))
        load = next_budget(load, plan.most_prompts, sent=sent, answered=answered)
    context.uow.families.note_frequency_weighed(family.id, today)
    if load != before:
        _keep(context, family, before, load, asked=False)
    return context.uow.families.get(family.id)


def _keep(context: Context, family: Family, before: PromptLoad, after: PromptLoad, *, asked: bool) -> None:
    context.uow.families.set_frequency(family.id, budget=after.budget, asked=after.asked)
    if after.budget != before.budget:
        context.uow.notes.add_frequency(
            family.id, context.now, before=before.budget, after=after.budget, asked=asked
        )


def asked(ctx: CarerContext, wish: Wish) -> tuple[str, Buttons]:
    """Do what a carer asks: one reminder a day fewer or more, or so many, from now on; return what to say."""
    plan = (ctx.plan()).plan
    before = load_of(ctx.family, plan)
    after = _wished(wish, before, plan.most_prompts)
    _keep(ctx.context, ctx.family, before, after, asked=True)
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    words = ctx.words
    if after.budget != before.budget or wish == after.budget:
        return words("load.now", n=after.budget), load_buttons(ctx)
    if wish == "more" or (isinstance(wish, int) and wish > after.budget):
        therapist = (ctx.therapist()).name
        return words("load.plan_allows", n=after.budget, therapist=therapist), ()
    text = words("load.is_least", n=min(FLOOR, plan.most_prompts))
    return text, (row(Button(words.plain("load.pause_button"), verbs.PAUSE.data(None))),)


def _wished(wish: Wish, before: PromptLoad, most: int) -> PromptLoad:
    if isinstance(wish, int):
        return wanted(wish, most)
    return (fewer if wish == "fewer" else more)(before, most)


def load_buttons(ctx: CarerContext) -> Buttons:
    return (
        row(
            Button(ctx.words.plain("load.fewer_button"), verbs.LOAD.data("fewer")),
            Button(ctx.words.plain("load.more_button"), verbs.LOAD.data("more")),
        ),
    )


def pressed_load(ctx: CarerContext, argument: str) -> None:
    """A tap for fewer or more: the answer changes in place; other messages with these buttons stay as they are."""
    if argument == "fewer" or argument == "more":
        ctx.note()
        text, buttons = asked(ctx, "fewer" if argument == "fewer" else "more")
        pressed = ctx.pressed()
        if pressed is not None and pressed.about == ABOUT:
            ctx.edit(pressed.id, ctx.named(text), buttons)
        else:
            ctx.answer(text, buttons=buttons, about=ABOUT)
