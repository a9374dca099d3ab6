"""Clinic-side grades, entered by the therapist by a short line. Families never see them."""

from __future__ import annotations

import html

from bot.digest.clinic import ACTIVE_MOVEMENTS
from bot.digest.clinic_lines import scale_lines, window_section
from bot.digest.facts import GradeFact
from bot.digest.movements import movement_name
from bot.digest.wording import Wording, wording_for
from bot.domain.actor import Actor
from bot.domain.outgoing import Button, row
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import named_at_front
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.digests import family_page
from bot.features.events import Event, TextWritten
from bot.features.visits.rules import tells_a_score, wants_gravity_rule
from bot.parsing.period import span_from
from bot.parsing.scale_scores import EntryProblem, ScaleEntry, names_scale, read_scale_entry
from bot.phrases import Words, words_for

STEP = "grade"
SHORT = {"ams": "AMS", "toronto": "Toronto"}
MOST_LISTED = 8


def grade(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /grade FAMILY LINE: enter the line's grades; without a line show what is known and ask for one."""
    found = named_at_front(context, event, therapist, text, lambda each: verbs.GRADE.data(each.id))
    if found is None:
        return
    family, line = found
    if line:
        _enter(context, therapist, family, line)
    else:
        _show(context, therapist, family)


def pressed_grade(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    if (family := family_by_ref(context, therapist, ref)) is not None:
        _show(context, therapist, family)


def wrote(context: Context, event: TextWritten, therapist: Therapist) -> bool:
    """Take a line of grades after /grade; return whether it was one."""
    dialog = context.uow.chats.get(event.chat_id).dialog
    if dialog.step != STEP:
        return False
    family = family_by_ref(context, therapist, dialog.text("family") or "")
    if family is None or not names_scale(event.text):
        context.uow.chats.end_dialog(event.chat_id)
        return False
    _enter(context, therapist, family, event.text)
    return True


def _show(context: Context, therapist: Therapist, family: Family) -> None:
    """Show the entries so far and the age windows, and wait for a line."""
    words = words_for(therapist.language)
    context.uow.chats.start_dialog(therapist.address, STEP, {"family": family.id})
    span, _ = span_from("", now=context.now, zone=context.clinic.zone)
    digest = family_page.digest_for(context, family, span)
    wording = wording_for(digest, words, family_page.names(context, therapist))
    entries = context.uow.scale_scores.of_family(family.id)
    windows = window_section(digest, wording)
    lines = [f"<b>{html.escape(family.nickname, quote=False)}</b>: {html.escape(wording.baby(digest))}"]
    lines += [html.escape(line, quote=False) for line in scale_lines(entries, wording)]
    if not entries:
        lines.append(words("grade.none_yet"))
    lines += ["", f"<b>{html.escape(windows.head)}</b>", *(html.escape(line) for line in windows.lines)]
    lines += ["", words("grade.how")]
    buttons = tuple(
        row(Button(_label(entry, wording), verbs.UNGRADE.data(int(entry.id), family.id)))
        for entry in reversed(entries[-MOST_LISTED:])
    )
    context.tell_therapist(therapist, "\n".join(lines), buttons=buttons)
    who = Actor.therapist(therapist.id)
    context.uow.audit.note(who=who, what="grades seen", now=context.now, family_id=family.id)


def _label(entry: GradeFact, wording: Wording) -> str:
    return wording.words.plain(
        "grade.take_back_button", scale=SHORT[entry.scale], day=wording.short_day(entry.on)
    )[:24]


def _enter(context: Context, therapist: Therapist, family: Family, line: str) -> None:
    words = words_for(therapist.language)
    try:
        entry = read_scale_entry(line, today=family.local(context.now).date())
    except EntryProblem as problem:
        context.uow.chats.start_dialog(therapist.address, STEP, {"family": family.id})
        context.tell_therapist(therapist, _problem(problem, words))
        return
    context.uow.chats.end_dialog(therapist.address)
    grade_id = context.uow.scale_scores.add(
        family.id,
        scale=entry.scale,
        values=entry.grades,
        on=entry.on,
        entered_by=therapist.id,
        now=context.now,
    )
    context.tell_therapist(
        therapist,
        _read_back(context, therapist, family, entry),
        buttons=(row(Button(words.plain("grade.undo_button"), verbs.UNGRADE.data(grade_id, family.id))),),
    )
    who = Actor.therapist(therapist.id)
    context.uow.audit.note(who=who, what="grades entered", now=context.now, family_id=family.id)


def _read_back(context: Context, therapist: Therapist, family: Family, entry: ScaleEntry) -> str:
    """Return what was taken, movement by movement, so that a slip is seen at once."""
    words = words_for(therapist.language)
    wording = Wording(words, family_page.names(context, therapist), family.zone)
    lines = [words("grade.entered", nickname=family.nickname, day=wording.day(entry.on))]
    lines += [
        f"{movement_name(movement, words.language)}: <b>{entry.grades[movement]}</b>"
        for movement in ACTIVE_MOVEMENTS
        if movement in entry.grades
    ]
    if wants_gravity_rule(entry.grades):
        lines.append(words("grade.gravity_rule"))
    fact = GradeFact(entry.scale, entry.grades, entry.on, therapist.name)
    if tells_a_score(entry.grades):
        lines += ["", *(html.escape(line, quote=False) for line in scale_lines((fact,), wording))]
    return "\n".join(lines)


def _problem(problem: EntryProblem, words: Words) -> str:
    what = movement_name(problem.what, words.language) if problem.kind == "toronto_missing" else problem.what
    match problem.kind:
        case "no_scale" | "no_grades":
            return words("grade.how")
        case "not_read":
            return words("grade.not_read", what=what)
        case "out_of_range":
            return words("grade.out_of_range", what=what)
        case "gravity":
            return words("grade.gravity", what=what)
        case "twice":
            return words("grade.twice", what=what)
        case "toronto_missing":
            return words("grade.toronto_missing", what=what)
        case "date" | "future":
            return words("grade.date", what=what)


def pressed_ungrade(context: Context, event: Event, therapist: Therapist, number: int, ref: str) -> None:
    """Take one entry back."""
    family = family_by_ref(context, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    if context.uow.scale_scores.take_back(number, family.id):
        context.tell_therapist(therapist, words("grade.taken_back", nickname=family.nickname))
        who = Actor.therapist(therapist.id)
        context.uow.audit.note(who=who, what="grades taken back", now=context.now, family_id=family.id)
