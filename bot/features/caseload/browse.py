"""The caseload in chat: families by need, found by name, and the card of one family."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId
from bot.domain.outgoing import Button, Buttons, MessageEdit, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.rendering import FamiliesRequest
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import say, seen_family
from bot.features.access.family_lookup import families_seen, matching
from bot.features.caseload.rules import GROUPS, Group, grouped, standing
from bot.features.concerns import alert_facts
from bot.features.concerns.views import age_shown, alert_buttons, concern_text
from bot.features.context import Context
from bot.features.events import ButtonPressed, Event
from bot.features.formats import minute_shown, short_day_shown, when_shown
from bot.features.learned import asking
from bot.features.plan.family_view import plan_summary
from bot.features.threads import questions as threads_questions
from bot.features.threads import shown_holds, views
from bot.parsing.period import Instants
from bot.phrases import Words, words_for
from scheduling.learned.heard import heard_before
from scheduling.learned.receptive import windows
from scheduling.localtime import day_begins

LAST_DAYS = timedelta(days=7)


def families(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/families [words]: the families, those who need the therapist first in front; one that is meant by name, its card."""
    seen = families_seen(context, therapist, discharged=True)
    words = words_for(therapist.language)
    if not seen:
        say(context, event, words("caseload.none"), (_new_family_row(words),))
        return
    found = matching(context, seen, wanted)
    if not found:
        say(context, event, words("therapist.none_found", name=wanted.strip()))
    elif len(found) == 1 and wanted.strip():
        pressed_card(context, event, therapist, found[0].id)
    else:
        by_group = _grouped(context, found)
        group = next(group for group in GROUPS if by_group[group])
        asked = _page(context, therapist, by_group, group, 0, wanted)
        context.say(OutgoingMessage(chat_id=event.chat_id, render=asked))


def pressed_all(context: Context, event: Event, therapist: Therapist) -> None:
    """The first page of all families as a message of its own: the digest above stays."""
    families(context, event, therapist, "")


def _new_family_row(words: Words) -> tuple[Button, ...]:
    return row(Button(words.plain("setup.new_family_button"), verbs.NEW_FAMILY.data()))


def pressed_page(
    context: Context, event: Event, therapist: Therapist, group: Group, page: int, wanted: str
) -> None:
    """Turn a page, or look at another group: "fams:GROUP:PAGE:words", changed in place."""
    found = matching(context, families_seen(context, therapist, discharged=True), wanted)
    if not found or not isinstance(event, ButtonPressed):
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    pressed = context.uow.outbox.said_as(event.chat_id, event.message_id)
    if pressed is not None:
        asked = _page(context, therapist, _grouped(context, found), group, page, wanted)
        context.say(MessageEdit(chat_id=event.chat_id, edits=pressed.id, render=asked))


def _grouped(context: Context, found: Sequence[Family]) -> dict[Group, list[Family]]:
    return grouped(found, context.uow.concerns.families_waiting([family.id for family in found]))


def _page(
    context: Context,
    therapist: Therapist,
    by_group: dict[Group, list[Family]],
    group: Group,
    page: int,
    wanted: str,
) -> FamiliesRequest:
    return FamiliesRequest(
        therapist=therapist.id,
        language=therapist.language,
        families=tuple(family.id for family in by_group[group]),
        group=group,
        others={other: len(by_group[other]) for other in GROUPS if other != group},
        page=page,
        wanted=wanted,
        at=context.now,
    )


# ---------------------------------------------------------------- one family


def pressed_card(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Show a family's card: age, plan, carers and their state, last word, what is open, and what can be done."""
    family = seen_family(context, event, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    text = card_text(context, family, therapist)
    open_ones = len(context.uow.concerns.open_in_family(family.id)) + len(
        context.uow.questions.open_in_family(family.id)
    )
    own = family.therapist_id == therapist.id
    buttons = _card_buttons(context, family, words, open_ones, own=own)
    say(context, event, text, buttons, about=Subject.family(family.id))
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="card seen", now=context.now, family_id=family.id
    )


def _card_buttons(context: Context, family: Family, words: Words, open_ones: int, *, own: bool) -> Buttons:
    week = Button(words.plain("caseload.week_button"), week_data(context, family.id))
    plan = Button(words.plain("caseload.plan_button"), verbs.PLAN_SHOW.data(family.id))
    write = Button(words.plain("caseload.write_button"), verbs.WRITE.data(family.id))
    invite = Button(words.plain("caseload.invite_button"), verbs.INVITE.data(family.id))
    seen = Button(words.plain("caseload.audit_button"), verbs.AUDIT.data(family.id, None))
    first = (
        (row(Button(words.plain("caseload.open_button", n=open_ones), verbs.OPEN.data(family.id))),)
        if open_ones
        else ()
    )
    if family.state == "discharged":
        back = (
            (row(Button(words.plain("discharge.back_button"), verbs.DISCHARGE_BACK.data(family.id))),)
            if own
            else ()
        )
        return (*first, row(week, plan), row(seen), *back)
    rest = (
        (
            row(
                Button(words.plain("caseload.handover_button"), verbs.HANDOVER.data(family.id)),
                Button(words.plain("discharge.button"), verbs.DISCHARGE.data(family.id)),
            ),
        )
        if own
        else ()
    )
    return (*first, row(week, plan), row(write, invite), row(seen), *rest)


def week_data(context: Context, family_id: FamilyId) -> str:
    """Return the data of a button that shows a family's last seven days."""
    return verbs.PAGE.data(Instants(context.now - LAST_DAYS, context.now), family_id)


def card_text(context: Context, family: Family, therapist: Therapist) -> str:
    words = words_for(therapist.language)
    version = context.uow.plans.current(family.id)
    lines = [words(f"caseload.card_{family.state}", nickname=family.nickname)]
    if family.state == "paused" and family.paused_until is not None:
        lines.append(
            words(
                "caseload.paused_until",
                until=when_shown(family.paused_until, family, words, context.clinic.zone),
            )
        )
    if version is not None:
        side = words.plain(f"digest.weak_side_{version.plan.baby.affected_side}")
        age = age_shown(version.plan.baby, context.now, family, words)
        lines.append(words("caseload.age", age=age, side=side))

        def name_of(activity: str) -> str:
            return context.library.name(activity, therapist.language)

        summary = plan_summary(version.plan, words, name_of)
        lines.append(words("caseload.plan", n=version.version, summary=summary))
    lines.append("")
    lines += [_carer_line(carer, context.now, words) for carer in context.uow.carers.of_family(family.id)]
    last = context.uow.messages.last_of_family(family.id)
    if last is None:
        lines.append(words("caseload.no_word"))
    else:
        when = when_shown(last.at, family, words, context.clinic.zone)
        carer = context.uow.carers.find(family.id, last.carer_id) if last.carer_id else None
        lines.append(words("caseload.last_word", when=when, carer=carer.name if carer else "…"))
    lines += _learned_lines(context, family, words)
    concerns = context.uow.concerns.open_in_family(family.id)
    questions = context.uow.questions.open_in_family(family.id)
    if concerns or questions:
        lines.append(words("caseload.open", concerns=len(concerns), questions=len(questions)))
    else:
        lines.append(words("caseload.nothing_open"))
    return "\n".join(lines)


def _learned_lines(context: Context, family: Family, words: Words) -> list[str]:
    """Return when the family answers best, and when its naps or feeds last moved by what was learned."""
    if family.keeps_times:
        return [words("caseload.keeps_times")]
    today = family.local(context.now).date()
    since = today - timedelta(days=asking.HEARD_DAYS)
    before = day_begins(today, family.zone)
    heard = context.uow.learned.heard(family, since=since, before=before)
    best = asking.best_hour(windows(heard_before(heard, today, family.zone), today))
    lines = []
    if best is not None:
        at = minute_shown(best.start, words)
        lines.append(words("caseload.answers_best", at=at, answered=best.answered, asked=best.asked))
    moved = [each for each in context.uow.learned.asked_since(family.id, since) if each.state == "yes"]
    if moved:
        day = short_day_shown(moved[-1].local_date, words)
        lines.append(words(f"caseload.moved_{moved[-1].suggestion.field}", day=day))
    return lines


def _carer_line(carer: Carer, now: datetime, words: Words) -> str:
    """Return a carer and how they stand: reminders or none, not joined yet, cannot be reached, left."""
    state = words.plain(f"caseload.carer_{standing(carer, now)}")
    return words("caseload.carer", carer=carer.name, state=state)


def pressed_open(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Show everything open of a family once more, each to be answered under its own message."""
    family = seen_family(context, event, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    facts = alert_facts.load(context, family.id)
    for concern in context.uow.concerns.open_in_family(family.id):
        text = concern_text(concern, facts, words)
        say(context, event, text, alert_buttons(concern, words), about=concern.about)
    for question in context.uow.questions.open_in_family(family.id):
        text = views.question_text(
            threads_questions.as_told(context, question), family, words, context.clinic.zone
        )
        context.say(
            OutgoingMessage(
                chat_id=event.chat_id,
                text=text,
                buttons=threads_questions.answer_buttons(question, words),
                about=question.about,
                attachment=shown_holds.file_of(context, question),
            )
        )
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="open ones seen", now=context.now, family_id=family.id
    )
