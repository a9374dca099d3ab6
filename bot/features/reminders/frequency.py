"""How many reminders a day: fewer while they go unanswered, and fewer or more when a carer asks.

The steps are scheduling/budget.py's. families.budget is what a day may have now (none: all that the plan allows),
families.asked_load the most that a carer asked for (0: nobody ever said).
"""

from __future__ import annotations

from datetime import date, timedelta

from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family
from bot.features import verbs
from bot.features.apply import Work, apply, carry_out
from bot.features.context import CarerContext, Context
from bot.features.reminders.frequency_rules import FrequencyShown, SetFrequency, decide_press, decide_wish
from bot.features.show import Shown, show
from bot.parsing.answers import Wish
from scheduling.budget import PromptLoad, first_load, next_budget
from scheduling.plan import Plan

MOST_DAYS = 14  # looked back at after an outage


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


def asked(ctx: CarerContext, wish: Wish) -> None:
    """One reminder a day fewer or more, or so many, from now on."""
    plan = ctx.plan().plan
    apply(ctx, decide_wish(load_of(ctx.family, plan), plan.most_prompts, wish))


def pressed_load(ctx: CarerContext, argument: str) -> None:
    plan, pressed = ctx.plan().plan, ctx.pressed()
    wish: Wish | None = "fewer" if argument == "fewer" else "more" if argument == "more" else None
    if wish is not None:
        at, about = (pressed.id, pressed.about) if pressed else (None, None)
        before = load_of(ctx.family, plan)
        apply(ctx, decide_press(before, plan.most_prompts, wish, pressed=at, about=about))


@carry_out.register
def _(effect: SetFrequency, work: Work) -> None:
    _keep(work.ctx.context, work.ctx.family, effect.before, effect.after, asked=True)


@show.register
def _(content: FrequencyShown, ctx: CarerContext) -> Shown:
    words = ctx.words
    match content.line:
        case "now":
            return words("load.now", n=content.number), load_buttons(ctx)
        case "plan_allows":
            return words("load.plan_allows", n=content.number, therapist=ctx.therapist().name), ()
        case "is_least":
            pause = Button(words.plain("load.pause_button"), verbs.PAUSE.data(None))
            no = Button(words.plain("pause.no_button"), verbs.PAUSE_NO.data())
            return words("load.is_least", n=content.number), (row(pause, no),)


def load_buttons(ctx: CarerContext) -> Buttons:
    return (
        row(
            Button(ctx.words.plain("load.fewer_button"), verbs.LOAD.data("fewer")),
            Button(ctx.words.plain("load.more_button"), verbs.LOAD.data("more")),
        ),
    )
