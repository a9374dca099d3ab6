"""What a carer says of the baby after an urgent concern goes to the therapist at once, and closes nothing by itself."""

from __future__ import annotations

from bot.concerns.advice import advice_for
from bot.concerns.finding import Concern
from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId, MessageId
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Carer, Family
from bot.features import verbs
from bot.features.apply import apply
from bot.features.concerns import day_after
from bot.features.concerns.effects import Advise
from bot.features.concerns.notify import reachable_carer
from bot.features.context import CarerContext, Context
from bot.features.threads import questions
from bot.phrases import words_for


def ask_due(context: Context) -> None:
    """Ask the carers whose morning after an urgent concern has come."""
    for family_id in sorted({each.family_id for each in context.uow.concerns.how_due(context.now)}):
        _ask(context, context.uow.families.get(family_id))


def asked_before_reminder(context: Context, family: Family) -> bool:
    """Ask, where a reminder would come before the question of the morning; return whether that was so."""
    waiting = context.uow.concerns.how_waiting(family.id)
    if not day_after.of_before(waiting, context.now, family.zone):
        return False
    _ask(context, family)
    return True


def _ask(context: Context, family: Family) -> None:
    waiting = context.uow.concerns.how_waiting(family.id)
    context.uow.concerns.how_asked([each.id for each in waiting])
    for found in day_after.to_ask(waiting):
        carer = reachable_carer(context, found)
        if carer is not None and family.state != "discharged":
            _say(context, family, carer, found)


def _say(context: Context, family: Family, carer: Carer, found: ConcernRow) -> None:
    words = words_for(carer.language)
    therapist = context.uow.therapists.get(family.therapist_id)
    numbers = context.numbers(family, carer.language, found.text)
    text = words(
        "howis.ask",
        nickname=family.nickname,
        therapist=therapist.name,
        nurse_line=numbers.nurse_line,
        emergency_line=numbers.emergency_line,
    )
    better = Button(words.plain("howis.better"), verbs.HOW_IS.data(found.id, "better"))
    same = Button(words.plain("howis.same"), verbs.HOW_IS.data(found.id, "same"))
    worse = Button(words.plain("howis.worse"), verbs.HOW_IS.data(found.id, "worse"))
    context.say(
        OutgoingMessage(
            chat_id=carer.address,
            family=family.id,
            text=text,
            kind="concern",
            buttons=(row(better, same, worse),),
            about=found.about,
            key=f"howis:{found.id}",
        )
    )
    if context.uow.chats.get(carer.address).dialog.step is None:
        context.uow.chats.start_dialog(carer.address, "question", {"thread": found.about.stored})


def pressed(ctx: CarerContext, concern_id: ConcernId, how: str) -> None:
    """ "Better", "The same", "Worse": the therapist hears it at once; the advice comes again unless it is better."""
    found = ctx.uow.concerns.find(concern_id)
    ctx.note()
    if found is None or found.family_id != ctx.family.id or found.carer_id != ctx.carer.id:
        return
    said, line = ctx.pressed(), ctx.words.plain(f"howis.{how}")
    if said is not None:
        ctx.edit(said.id, ctx.words("howis.answered", answer=line))
    if how != "better":
        texts = advice_for(Concern(found.urgency, found.topics))
        apply(ctx, (Advise(found.id, texts, urgent=True),))
    ctx.end_dialog()
    questions.forward(ctx, None, "question", None, thread=found.about, text=line, urgent=True)


def news(ctx: CarerContext, message_id: MessageId) -> bool:
    """Pass on what a carer writes of a concern that no therapist has closed; return whether there is one."""
    found = day_after.news_of(ctx.uow.concerns.open_in_family(ctx.family.id), ctx.carer.id, ctx.now)
    if found is None:
        return False
    questions.forward(ctx, message_id, "question", None, thread=found.about, urgent=True)
    return True


def has_open(ctx: CarerContext) -> bool:
    """Whether this carer has told of something urgent lately that no therapist has closed."""
    open_ones = ctx.uow.concerns.open_in_family(ctx.family.id)
    return day_after.news_of(open_ones, ctx.carer.id, ctx.now) is not None
