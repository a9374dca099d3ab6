"""Building a family's plan in chat: a draft is begun, changed by buttons and short lines, and shown after each change.

Nothing reaches the family before the therapist sends it (plan_sending). The draft is kept, so that a therapist can leave
and come back; the plan in force stays until then.
"""

from __future__ import annotations

import html
from dataclasses import replace

from bot.domain.actor import Actor
from bot.domain.outgoing import OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, named_at_front, seen_family
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.events import Event, TextWritten
from bot.features.plan import activities, publish
from bot.features.plan import buttons as choices
from bot.features.plan.draft import STEP, Act, Building, building_for, change, show_draft
from bot.features.plan.preview import show_day, show_week
from bot.features.plan.templates import template_named, templates
from bot.features.plan.therapist_view import note_shown, unread_shown
from bot.features.plan.trying import try_out
from bot.parsing.plan_line.reader import PlanLine, read_plan_words
from bot.parsing.plan_line.vocabulary import names_of
from bot.phrases import words_for


def command(context: Context, event: Event, therapist: Therapist, said: str) -> None:
    """/plan, /plan NICKNAME, and /plan NICKNAME with a line of the plan or a template's name."""
    if not said.strip():
        family = chosen_family(context, event, therapist, said, lambda each: verbs.PLAN.data(each.id))
        if family is not None:
            open_family(context, event, therapist, family)
        return
    named = named_at_front(context, event, therapist, said, lambda each: verbs.PLAN.data(each.id))
    if named is None or named[0].state == "discharged":
        return
    family, line = named
    if not line or not line_for(context, event, therapist, family, line):
        open_family(context, event, therapist, family)


def pressed_family(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    family = seen_family(context, event, therapist, ref)
    if family is not None and family.state != "discharged":
        open_family(context, event, therapist, family)


def open_family(context: Context, event: Event, therapist: Therapist, family: Family) -> None:
    """Show a family's plan, ready to be changed: the draft where one was begun, else a copy of the plan in force."""
    building = building_for(context, event, therapist, family)
    if building is None:
        return
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="plan opened", now=context.now, family_id=family.id
    )
    building.listen()
    if building.draft.plan.activities:
        show_draft(building, anew=True)
    else:
        _over(building, "")  # there is nothing to show, and a template is what most begin with


def pressed(context: Context, event: Event, therapist: Therapist, number: int, op: str, value: str) -> None:
    """Do what a button of a draft says."""
    building = _of_draft(context, event, therapist, number)
    act = ACTS.get(op)
    if building is None or act is None:
        context.say(
            OutgoingMessage(chat_id=event.chat_id, text=words_for(therapist.language)("plan.draft_gone"))
        )
        return
    building.listen()
    act(building, value)


def _of_draft(context: Context, event: Event, therapist: Therapist, number: int) -> Building | None:
    draft = context.uow.drafts.find(number)
    if draft is None or draft.therapist_id != therapist.id:
        return None
    family = family_by_ref(context, therapist, draft.family_id, discharged=False)
    return None if family is None else building_for(context, event, therapist, family)


def wrote(context: Context, event: TextWritten, therapist: Therapist, quoted: Subject | None) -> bool:
    """Take a typed line about a draft; return whether it was one. quoted: what the message it answers is about."""
    number = None
    if quoted is not None:
        number = quoted.number if quoted.kind == "draft" else None
    else:
        dialog = context.uow.chats.get(event.chat_id).dialog
        if dialog.step == STEP:
            number = dialog.number("draft")
    building = None if number is None else _of_draft(context, event, therapist, number)
    if building is None:
        return False
    if not _took_line(building, event.text, whole=False):
        read = _read(building, event.text)
        about = building.words("plan.taken_for", nickname=building.family.nickname)
        unread = [unread_shown(read.unread, building.words)] if read.unread else []
        building.listen()
        building.say("\n".join([about, *unread, building.words("plan.how_to")]))
    return True


def line_for(context: Context, event: Event, therapist: Therapist, family: Family, text: str) -> bool:
    """Open a family's draft and take a line into it, where every word of the line is one; return whether it was."""
    building = building_for(context, event, therapist, family)
    return building is not None and _took_line(building, text, whole=True)


def _took_line(building: Building, text: str, *, whole: bool) -> bool:
    """Make the changes of a line, or start from the template that it names, and show what is new.

    whole: only where nothing of the line is left unread.
    """
    template = template_named(text)
    if template is not None:
        building.keep(template.started(building.draft.plan))
        said: list[str] = []
    else:
        read = _read(building, text)
        if not read.changes or (whole and read.unread):
            return False
        notes = change(building, read.changes)
        said = [unread_shown(read.unread, building.words)] if read.unread else []
        said += [note_shown(note, building.words, building.name_of) for note in notes]
    building.listen()
    show_draft(building, said=said, only_new=True)
    return True


def _read(building: Building, text: str) -> PlanLine:
    return read_plan_words(text, building.draft.plan, building.today, names_of(building.context.library))


def _show(building: Building, value: str) -> None:
    show_draft(building)


def _over(building: Building, value: str) -> None:
    """Offer what a draft may start from: a template, nothing, or the plan in force."""
    words, number = building.words, building.draft.id
    offered = [
        choices.button(each.text(words.language).name, number, "tpl", each.id)
        for each in templates().values()
    ]
    others = row(
        choices.button(words.plain("plan.nothing_button"), number, "tpl", "nothing"),
        choices.button(words.plain("plan.present_button"), number, "tpl", "present"),
    )
    about = "\n".join(
        f"<b>{html.escape(text.name, quote=False)}</b>: {html.escape(text.about, quote=False)}"
        for text in (each.text(words.language) for each in templates().values())
    )
    building.show(
        words("plan.start_from") + "\n" + about + "\n" + words("plan.templates_unreviewed"),
        (*choices.in_rows(offered, 2), others, choices.back_row(number, words)),
    )


def _template(building: Building, value: str) -> None:
    if value == "present":
        building.keep(building.in_force.plan)
    elif value == "nothing":
        building.keep(replace(building.draft.plan, activities=()))
    elif (template := templates().get(value)) is not None:
        building.keep(template.started(building.draft.plan))
    show_draft(building)


def _day(building: Building, value: str) -> None:
    show_day(building)


def _picture(building: Building, value: str) -> None:
    show_week(building)


ACTS: dict[str, Act] = {
    "show": _show,
    "over": _over,
    "tpl": _template,
    "day": _day,
    "pic": _picture,
    "try": try_out,
    **activities.ACTS,
    **publish.ACTS,
}
