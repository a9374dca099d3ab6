"""The weekly digest: when it is due, what it covers, and the one message that brings it."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from bot.conversation.desk import Desk
from bot.digest.chart import caseload_picture, week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.ranking import Ranked, ranked
from bot.digest.text import caseload_text, family_text
from bot.digest.week import digest_of
from bot.digest.wording import NameOf
from bot.phrases import words_for
from bot.records import audit, people
from bot.records.digests import note_digest
from bot.records.facts import facts_between
from bot.records.people import Clinic, Therapist
from bot.say import Attachment, Button, Buttons, Kind
from scheduling.localtime import instant_for

FIRST_COVERS = timedelta(days=7)
FAMILIES_A_ROW = 2
MOST_BUTTONS = 40


def next_occurrence(clinic: Clinic, after: datetime) -> datetime:
    """Return the next digest instant after `after`: the clinic's weekday and local time, whatever its clock changes."""
    today = after.astimezone(clinic.zone).date()
    for offset in range(9):
        due = _on(clinic, today + timedelta(days=offset))
        if due is not None and due > after:
            return due
    raise AssertionError("every weekday comes within eight days")


def last_occurrence(clinic: Clinic, until: datetime) -> datetime:
    """Return the newest digest instant at or before `until`."""
    today = until.astimezone(clinic.zone).date()
    for offset in range(9):
        due = _on(clinic, today - timedelta(days=offset))
        if due is not None and due <= until:
            return due
    raise AssertionError("every weekday comes within eight days")


def _on(clinic: Clinic, local_day: date) -> datetime | None:
    if local_day.weekday() != clinic.digest_weekday:
        return None
    at: time = clinic.digest_at
    return instant_for(local_day, at, clinic.zone)


async def send_due(desk: Desk) -> None:
    """Send each therapist the digest that is due, once; after an outage one that covers all since the last."""
    for therapist in await people.all_therapists(desk.conn):
        if therapist.next_digest_at is None:
            await people.change_therapist(
                desk.conn, therapist.id, next_digest_at=next_occurrence(desk.clinic, desk.now)
            )
        elif therapist.next_digest_at <= desk.now:
            to_at = last_occurrence(desk.clinic, desk.now)
            # A digest day moved earlier must not reach back before what was told already.
            to_at = max(to_at, therapist.next_digest_at) if to_at < therapist.next_digest_at else to_at
            await _send(desk, therapist, to_at)


async def _send(desk: Desk, therapist: Therapist, to_at: datetime) -> None:
    from_at = therapist.digest_until or to_at - FIRST_COVERS
    await people.change_therapist(
        desk.conn, therapist.id, digest_until=to_at, next_digest_at=next_occurrence(desk.clinic, desk.now)
    )
    if not await note_digest(desk.conn, therapist.id, from_at=from_at, to_at=to_at, now=desk.now):
        return
    if therapist.chat_id is not None:
        await tell(
            desk, therapist, from_at, to_at, kind="digest", key=f"digest:{therapist.id}:{to_at.isoformat()}"
        )


async def tell(
    desk: Desk,
    therapist: Therapist,
    from_at: datetime,
    to_at: datetime,
    *,
    kind: Kind,
    key: str | None = None,
) -> None:
    """Say a digest of [from_at, to_at): one message with a picture, a button a family, and the document behind it."""
    words = words_for(therapist.language)
    ranking = await ranking_of(desk, therapist, from_at, to_at)

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    picture = _picture(ranking, therapist, name_of)
    await desk.tell_therapist(
        therapist,
        caseload_text(ranking, words, name_of),
        kind=kind,
        key=key,
        about="digest",
        buttons=_family_buttons(ranking, from_at, to_at, words.plain("therapist.document_button")),
        attachment=Attachment("picture", "week.png", content=picture) if picture else None,
    )
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what="digest told", now=desk.now)


def _picture(ranking: list[Ranked], therapist: Therapist, name_of: NameOf) -> bytes | None:
    words = words_for(therapist.language)
    if not ranking:
        return None
    if len(ranking) == 1:
        return week_picture(ranking[0].digest, words, name_of)
    return caseload_picture(ranking, words, name_of)


async def ranking_of(desk: Desk, therapist: Therapist, from_at: datetime, to_at: datetime) -> list[Ranked]:
    """Compute the digests of a therapist's families, the one that needs them first at the top."""
    digests = [
        digest_of(await facts_between(desk.conn, family, desk.now, from_at=from_at, to_at=to_at))
        for family in await people.families_of(desk.conn, therapist.id)
        if family.state != "discharged"
    ]
    return ranked(digests)


def _span(from_at: datetime, to_at: datetime) -> str:
    return f"{int(from_at.timestamp())}:{int(to_at.timestamp())}"


def _family_buttons(ranking: list[Ranked], from_at: datetime, to_at: datetime, document: str) -> Buttons:
    span = _span(from_at, to_at)
    buttons = [
        Button(one.digest.nickname[:24], f"page:{span}:{one.family}"[:64]) for one in ranking[:MOST_BUTTONS]
    ]
    rows = [tuple(buttons[i : i + FAMILIES_A_ROW]) for i in range(0, len(buttons), FAMILIES_A_ROW)]
    return (*rows, (Button(document, f"pdf:{span}"),)) if ranking else ()


async def pressed_page(desk: Desk, therapist: Therapist, argument: str) -> None:
    """Show one family's page, with its own picture."""
    start, end, family_id = argument.split(":", 2)
    family = await people.family(desk.conn, family_id)
    if family is None:
        return
    from_at, to_at = _instant(start), _instant(end)
    digest = digest_of(await facts_between(desk.conn, family, desk.now, from_at=from_at, to_at=to_at))
    words = words_for(therapist.language)

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    pages = family_text(digest, words, name_of)
    picture = Attachment("picture", "week.png", content=week_picture(digest, words, name_of))
    await desk.tell_therapist(therapist, "", attachment=picture)
    for page in pages:
        await desk.tell_therapist(therapist, page, about=f"family:{family_id}/")
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="family page seen", now=desk.now, family_id=family_id
    )


async def pressed_pdf(desk: Desk, therapist: Therapist, argument: str) -> None:
    start, end = argument.split(":", 1)
    from_at, to_at = _instant(start), _instant(end)
    document = await document_of(desk, therapist, from_at, to_at)
    await desk.tell_therapist(
        therapist, "", attachment=Attachment("document", "digest.pdf", content=document)
    )


async def picture_of(desk: Desk, therapist: Therapist, from_at: datetime, to_at: datetime) -> bytes:
    """Return the digest's picture. Raises ValueError where the therapist has no family."""

    def name_of(activity: str) -> str:
        return desk.library.name(activity, therapist.language)

    picture = _picture(await ranking_of(desk, therapist, from_at, to_at), therapist, name_of)
    if picture is None:
        raise ValueError(f"therapist {therapist.id} has no family to draw")
    return picture


async def document_of(desk: Desk, therapist: Therapist, from_at: datetime, to_at: datetime) -> bytes:
    return digest_pdf(
        await ranking_of(desk, therapist, from_at, to_at),
        words_for(therapist.language),
        lambda activity: desk.library.name(activity, therapist.language),
        as_of=min(desk.now, to_at).astimezone(desk.clinic.zone),
        paper=paper_for(desk.clinic.zone.key),
    )


def _instant(seconds: str) -> datetime:
    return datetime.fromtimestamp(int(seconds), UTC)
