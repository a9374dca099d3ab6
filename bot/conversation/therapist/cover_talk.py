"""Leave: who covers, from when to when, and back again. The one who is away says it; the cover may decline."""

from __future__ import annotations

from datetime import date, timedelta

from babel.dates import format_skeleton

from bot.conversation.dates import dates_in
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import caseload, covering, digesting
from bot.conversation.therapist.therapist_talk import edit_pressed, say, short
from bot.digest.document import digest_pdf, paper_for
from bot.digest.spans import Instants
from bot.digest.text import caseload_text
from bot.phrases import Words, words_for
from bot.records import audit, people
from bot.records.people import Therapist
from bot.say import Attachment, Button, Buttons, row

OFFERED_DAYS = (1, 7, 14)
LONGEST = timedelta(days=366)
OFFER_FOR = timedelta(days=1)  # a digest of covered families is offered this long after its time


def day_shown(day: date, words: Words, *, year: bool = False) -> str:
    """Return a date as "Thu, Mar 12", with its year where asked."""
    return str(format_skeleton("yMMMd" if year else "MMMEd", day, locale=words.language))


async def cover(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    """/cover: show who covers for whom, and offer to set it."""
    words = words_for(therapist.language)
    lines, buttons = [], []
    stands_in = (
        None if therapist.covered_by is None else await people.therapist(desk.conn, therapist.covered_by)
    )
    over = therapist.cover_until is not None and therapist.cover_until < covering.clinic_day(desk)
    if stands_in is not None and not over:
        lines.append(words("cover.is_covered", therapist=stands_in.name, **_span(therapist, words)))
        buttons.append(row(Button(words.plain("cover.end_button"), "coverend")))
    for away in await covering.covered_by(desk, therapist):
        lines.append(words("cover.you_cover", therapist=away.name, **_span(away, words)))
        buttons.append(_digest_button(away, words))
    colleagues = [each for each in await people.all_therapists(desk.conn) if each.id != therapist.id]
    if not colleagues:
        await say(desk, incoming, words("cover.alone"))
        return
    lines.append(words("cover.who"))
    buttons += [row(Button(short(each.name), f"cover:{each.id}")) for each in colleagues if each.reachable]
    await say(desk, incoming, "\n".join(lines), tuple(buttons))


def _span(therapist: Therapist, words: Words) -> dict[str, str]:
    start, end = therapist.cover_from, therapist.cover_until
    return {"start": day_shown(start, words) if start else "…", "end": day_shown(end, words) if end else "…"}


def _digest_button(away: Therapist, words: Words) -> tuple[Button, ...]:
    return row(
        Button(short(words.plain("cover.digest_button", therapist=away.name)), f"coverdigest:{away.id}")
    )


async def pressed_cover(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """A colleague was chosen: from when to when?"""
    words = words_for(therapist.language)
    colleague = await people.therapist(desk.conn, argument)
    if colleague is None or colleague.id == therapist.id:
        await say(desk, incoming, words("edge.old_button"))
        return
    await people.set_step(desk.conn, incoming.chat_id, "cover", by=colleague.id)
    buttons = [
        Button(words.plain("cover.days_button", n=days), f"coverdays:{colleague.id}:{days}")
        for days in OFFERED_DAYS
    ]
    await edit_pressed(desk, incoming, words("cover.when", therapist=colleague.name), (row(*buttons),))


async def pressed_days(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    colleague_id, _, days = argument.partition(":")
    today = covering.clinic_day(desk)
    if days.isdigit() and 1 <= int(days) <= LONGEST.days:
        await _begin(desk, incoming, therapist, colleague_id, today, today + timedelta(days=int(days) - 1))


async def dates_written(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """The step "cover": two dates, or one up to which."""
    words = words_for(therapist.language)
    chat = await people.chat(desk.conn, incoming.chat_id)
    today = covering.clinic_day(desk)
    found = dates_in(incoming.text, today, ahead=True)
    if len(found) == 1:
        found = [today, found[0]]
    if len(found) != 2 or found[0] > found[1] or found[1] < today or found[1] - found[0] > LONGEST:
        await say(desk, incoming, words("cover.not_read"))
        return
    await _begin(desk, incoming, therapist, str(chat.data["by"]), found[0], found[1])


async def _begin(
    desk: Desk, incoming: Incoming, therapist: Therapist, colleague_id: str, start: date, end: date
) -> None:
    colleague = await people.therapist(desk.conn, colleague_id)
    words = words_for(therapist.language)
    if colleague is None or colleague.id == therapist.id:
        await say(desk, incoming, words("edge.old_button"))
        return
    await people.set_step(desk.conn, incoming.chat_id, None)
    await people.change_therapist(
        desk.conn, therapist.id, covered_by=colleague.id, cover_from=start, cover_until=end
    )
    span = {"start": day_shown(start, words), "end": day_shown(end, words)}
    await say(desk, incoming, words("cover.begun", therapist=colleague.name, **span))
    theirs = words_for(colleague.language)
    span = {"start": day_shown(start, theirs), "end": day_shown(end, theirs)}
    families = len(await people.families_of(desk.conn, therapist.id))
    await desk.tell_therapist(
        colleague,
        theirs("cover.asked", therapist=therapist.name, n=families, **span),
        buttons=(
            _digest_button(therapist, theirs),
            row(Button(theirs.plain("cover.decline_button"), f"coverno:{therapist.id}")),
        ),
    )
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="cover set",
        now=desk.now,
        detail=f"{colleague.id} {start.isoformat()} {end.isoformat()}",
    )


async def pressed_end(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Back from leave: the cover hears no more of these families."""
    words = words_for(therapist.language)
    await _end(desk, therapist)
    await edit_pressed(desk, incoming, words("cover.ended"))
    if therapist.covered_by is not None and (
        cover := await people.therapist(desk.conn, therapist.covered_by)
    ):
        await desk.tell_therapist(cover, words_for(cover.language)("cover.over", therapist=therapist.name))


async def pressed_decline(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """The colleague cannot: the one who is away hears it at once, to ask somebody else."""
    away = await people.therapist(desk.conn, argument)
    words = words_for(therapist.language)
    if away is None or away.covered_by != therapist.id:
        await say(desk, incoming, words("edge.old_button"))
        return
    await _end(desk, away)
    await edit_pressed(desk, incoming, words("cover.you_declined", therapist=away.name))
    text = words_for(away.language)("cover.declined", therapist=therapist.name)
    await desk.tell_therapist(away, text)


async def _end(desk: Desk, therapist: Therapist) -> None:
    await people.change_therapist(desk.conn, therapist.id, covered_by=None, cover_from=None, cover_until=None)
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what="cover ended", now=desk.now)


# ---------------------------------------------------------------- the digest of covered families


async def pressed_digest(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Show the last seven days of the families of a colleague who is away."""
    away = await _covered(desk, therapist, argument)
    if away is None:
        await say(desk, incoming, words_for(therapist.language)("therapist.not_yours"))
        return
    words = words_for(therapist.language)
    ranking = await digesting.ranking_of(desk, away, Instants(desk.now - timedelta(days=7), desk.now))

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    pages: Buttons = tuple(
        row(Button(short(one.digest.nickname), caseload.week_data(desk, one.family))) for one in ranking[:40]
    )
    document = row(Button(words.plain("therapist.document_button"), f"coverpdf:{away.id}"))
    await say(desk, incoming, caseload_text(ranking, words, name_of), (*pages, document) if ranking else ())
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="digest told", now=desk.now, detail=away.id
    )


async def pressed_pdf(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    away = await _covered(desk, therapist, argument)
    if away is None:
        await say(desk, incoming, words_for(therapist.language)("therapist.not_yours"))
        return
    document = digest_pdf(
        await digesting.ranking_of(desk, away, Instants(desk.now - timedelta(days=7), desk.now)),
        words_for(therapist.language),
        lambda activity: desk.library.name(activity, therapist.language),
        as_of=desk.now.astimezone(desk.clinic.zone),
        paper=paper_for(desk.clinic.zone.key),
    )
    await desk.tell_therapist(
        therapist, "", attachment=Attachment("document", "digest.pdf", content=document)
    )


async def _covered(desk: Desk, therapist: Therapist, away_id: str) -> Therapist | None:
    return next((each for each in await covering.covered_by(desk, therapist) if each.id == away_id), None)


async def offer_digests(desk: Desk) -> None:
    """At the time of the weekly digest, offer whoever covers the one of the families they cover."""
    due = digesting.last_occurrence(desk.clinic, desk.now)
    if desk.now - due > OFFER_FOR:
        return
    on = due.astimezone(desk.clinic.zone).date()
    for away in await people.all_therapists(desk.conn):
        stands_in = await covering.cover_of(desk, away)
        if stands_in is None or away.cover_on(on) != stands_in.id:
            continue
        words = words_for(stands_in.language)
        await desk.tell_therapist(
            stands_in,
            words("cover.digest_offer", therapist=away.name),
            kind="digest",
            key=f"coverdigest:{away.id}:{due.isoformat()}",
            buttons=(_digest_button(away, words),),
        )
