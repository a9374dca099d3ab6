""" "Where does this figure come from?": the entries behind it, in the carers' own words."""

from __future__ import annotations

import hashlib
import html

from bot.digest.figures import FamilyDigest
from bot.digest.trace import messages_behind, trace_text
from bot.domain.actor import Actor
from bot.domain.ids import MessageId
from bot.domain.outgoing import Button
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_lookup import families_seen, family_by_ref
from bot.features.context import Context
from bot.features.digests import family_page
from bot.features.events import Event, TextWritten
from bot.parsing.figure import FigureAsked, asks_where_from, figure_asked
from bot.parsing.period import Span, decoded, span_from
from bot.phrases import LANGUAGES, words_for

GENERAL = ("all", "prone", "seen", "sent")
BUTTONS_A_ROW = 2


def _mark(figure: str) -> str:
    """Return a figure's short mark in a button; an activity's id may be too long for one."""
    return figure if figure in GENERAL else hashlib.sha256(figure.encode()).hexdigest()[:8]


def pressed_from(context: Context, event: Event, therapist: Therapist, span: Span, ref: str) -> None:
    """Offer the figures of a page; each button lists what one is made of."""
    named = family_page.meant(context, therapist, span, ref)
    if named is None:
        return
    span, family = named
    words = words_for(therapist.language)
    digest = family_page.digest_for(context, family, span)
    name_of = family_page.names(context, therapist)
    figures = [(each.activity, name_of(each.activity)) for each in digest.activities]
    figures += [(figure, words.plain(f"page.where_{figure}")) for figure in GENERAL]
    buttons = [
        Button(label[:24], verbs.TRACE.data(span, _mark(figure), family.id)) for figure, label in figures
    ]
    context.tell_therapist(
        therapist,
        words("page.where_which", nickname=family.nickname),
        buttons=tuple(tuple(buttons[i : i + BUTTONS_A_ROW]) for i in range(0, len(buttons), BUTTONS_A_ROW)),
    )


def pressed_trace(
    context: Context, event: Event, therapist: Therapist, span: Span, mark: str, ref: str
) -> None:
    family = family_by_ref(context, therapist, ref)
    if family is None:
        return
    digest = family_page.digest_for(context, family, span)
    known = (*GENERAL, *(each.activity for each in digest.activities))
    figure = next((each for each in known if _mark(each) == mark), None)
    if figure is not None:
        _tell(context, therapist, family, digest, FigureAsked(figure))


def asked_in_words(context: Context, event: TextWritten, therapist: Therapist) -> bool:
    """Answer "where from tummy"; return whether the message asked that."""
    rest = asks_where_from(event.text)
    if rest is None:
        return False
    found = _meant(context, event, therapist, rest)
    words = words_for(therapist.language)
    if found is None:
        context.tell_therapist(therapist, words("page.where_no_family"))
        return True
    family, span = found
    digest = family_page.digest_for(context, family, span)
    names = {
        each.activity: [context.library.name(each.activity, language) for language in LANGUAGES]
        for each in digest.activities
    }
    asked = figure_asked(_without(rest, family.nickname), names, [share.carer for share in digest.carers])
    _tell(context, therapist, family, digest, asked)
    return True


def _without(text: str, nickname: str) -> str:
    return " ".join(word for word in text.split() if word.strip("?,.'").casefold() != nickname.casefold())


def _meant(
    context: Context, event: TextWritten, therapist: Therapist, text: str
) -> tuple[Family, Span] | None:
    """Return the family and time meant: by name, by the page that is quoted, else the page looked at last."""
    families = {family.id: family for family in families_seen(context, therapist, discharged=True)}
    usual, _ = span_from("", now=context.now, zone=context.clinic.zone)
    chat = context.uow.chats.get(event.chat_id)
    remembered: Span = usual
    if chat.dialog.step == family_page.PAGE_STEP:
        remembered = decoded(chat.dialog.text("span") or "") or usual
    said = text.casefold()
    named = [family for family in families.values() if family.nickname.casefold() in said]
    if len(named) == 1:
        return named[0], remembered if named[0].id == chat.family_id else usual
    if event.reply_to is not None:
        quoted = context.uow.outbox.said_as(event.chat_id, event.reply_to)
        about = quoted.about if quoted else None
        if about is not None and about.kind == "family" and (family := families.get(about.family_id)):
            return family, remembered if family.id == chat.family_id else usual
    if chat.family_id in families:
        return families[chat.family_id], remembered
    return (next(iter(families.values())), usual) if len(families) == 1 else None


def _tell(
    context: Context, therapist: Therapist, family: Family, digest: FamilyDigest, asked: FigureAsked
) -> None:
    ids = (
        [MessageId(int(message)) for message in messages_behind(digest, asked.figure)]
        if asked.figure != "sent"
        else []
    )
    text = trace_text(
        digest,
        asked.figure,
        words_for(therapist.language),
        family_page.names(context, therapist),
        part=asked.part,
        day=asked.day,
        carer=asked.carer,
        said=context.uow.messages.texts(ids),
    )
    head = f"<b>{html.escape(family.nickname, quote=False)}</b>\n"
    context.tell_therapist(therapist, head + html.escape(text, quote=False))
    who = Actor.therapist(therapist.id)
    context.uow.audit.note(who=who, what="entries seen", now=context.now, family_id=family.id)
