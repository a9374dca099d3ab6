"""The raw rows behind the facts of many families: one query a kind, however many families there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Row,
    Select,
    and_,
    case,
    cast,
    func,
    literal,
    null,
    or_,
    select,
    union_all,
)

from bot.domain.people import Family
from bot.parsing.period import Dates, Instants, Span
from bot.storage.reports.period import Period, period_of
from bot.storage.tables import (
    audit,
    carers,
    concerns,
    confidences,
    digests,
    families,
    grades,
    messages,
    notes,
    observations,
    plans,
    questions,
    reminders,
    sessions,
    skips,
    therapists,
    visits,
)
from bot.storage.unit_of_work import UnitOfWork

CAME_AND_WENT = ("consented", "left", "declined")
PRESSED = ("answered", "later", "skipped")


@dataclass(slots=True)
class FamilyRows:
    """What the tables hold of one family about a period and the one before it, each list in the order of time.

    names, taught: by carer's id; taught holds activities with dates. first_due: of its first reminder. known, known_at_end: the
    newest message that the digest up to the period's start, and to its end, knew; one handed over late bears an earlier time.
    messages: without the words, but for those that were edited. marks: observations, skips and confidence ratings.
    words: concerns and questions.
    """

    names: dict[str, str] = field(default_factory=dict)
    taught: dict[str, dict[str, str]] = field(default_factory=dict)
    first_due: datetime | None = None
    known: int | None = None
    known_at_end: int | None = None
    plans: list[Row[Any]] = field(default_factory=list)
    notes: list[Row[Any]] = field(default_factory=list)
    came_and_went: list[Row[Any]] = field(default_factory=list)
    messages: list[Row[Any]] = field(default_factory=list)
    reminders: list[Row[Any]] = field(default_factory=list)
    sessions: list[Row[Any]] = field(default_factory=list)
    marks: list[Row[Any]] = field(default_factory=list)
    words: list[Row[Any]] = field(default_factory=list)
    visits: list[Row[Any]] = field(default_factory=list)
    grades: list[Row[Any]] = field(default_factory=list)


def rows_of(uow: UnitOfWork, found: Sequence[Family], span: Span) -> dict[str, FamilyRows]:
    """Return the rows of each family, by its id: eleven queries for any number of families."""
    rows: dict[str, FamilyRows] = defaultdict(FamilyRows)
    if not found:
        return rows
    ids = [family.id for family in found]
    window = _Window.around([period_of(family, span) for family in found])
    _read_frames(uow, rows, ids, span)
    known = [each.known for each in rows.values() if each.known is not None]
    for name, query in _queries(ids, window, span, min(known, default=None)).items():
        for row in uow.conn.execute(query):
            getattr(rows[row.family_id], name).append(row)
    return rows


@dataclass(frozen=True, slots=True)
class _Window:
    """The time that holds every family's period: zones differ. before: where the earliest period before begins."""

    before: datetime
    start: datetime
    end: datetime
    first_before: date
    last: date

    @classmethod
    def around(cls, periods: Sequence[Period]) -> _Window:
        return cls(
            before=min(each.start_before for each in periods),
            start=min(each.from_at for each in periods),
            end=max(each.to_at for each in periods),
            first_before=min(each.dates_before[0] for each in periods),
            last=max(each.last for each in periods),
        )


def _read_frames(uow: UnitOfWork, rows: dict[str, FamilyRows], ids: Sequence[str], span: Span) -> None:
    """Read the carers, when a family's first reminder was due, and what the digests around it knew."""
    first_due = select(func.min(reminders.c.due_at)).where(reminders.c.family_id == families.c.id)
    query = (
        select(
            families.c.id.label("family_id"),
            *(carers.c.id.label("carer_id"), carers.c.name, carers.c.taught),
            first_due.scalar_subquery().label("first_due"),
            _known_to(span.from_at if isinstance(span, Instants) else None).label("known"),
            _known_to(span.to_at if isinstance(span, Instants) else None).label("known_at_end"),
        )
        .outerjoin(carers, carers.c.family_id == families.c.id)
        .where(families.c.id.in_(ids))
        .order_by(families.c.id, carers.c.id)
    )
    for row in uow.conn.execute(query):
        frame = rows[row.family_id]
        frame.first_due, frame.known, frame.known_at_end = row.first_due, row.known, row.known_at_end
        if row.carer_id is not None:
            frame.names[row.carer_id], frame.taught[row.carer_id] = row.name, row.taught


def _known_to(to_at: datetime | None) -> ColumnElement[int | None]:
    if to_at is None:
        return cast(null(), digests.c.last_message_id.type)
    return (
        select(digests.c.last_message_id)
        .where(digests.c.therapist_id == families.c.therapist_id, digests.c.to_at == to_at)
        .scalar_subquery()
    )


def _queries(
    ids: Sequence[str], window: _Window, span: Span, known: int | None
) -> dict[str, Select[Any] | Any]:
    """Return the query of each list of FamilyRows."""

    def of(table: Any, *conditions: ColumnElement[bool]) -> Select[Any]:
        return select(table).where(table.c.family_id.in_(ids), *conditions)

    return {
        "plans": of(plans).order_by(plans.c.family_id, plans.c.version),
        "notes": of(notes, notes.c.at < window.end).order_by(notes.c.at, notes.c.id),
        "came_and_went": of(
            audit,
            audit.c.what.in_(CAME_AND_WENT),
            audit.c.who.like("carer:%"),
            *_between(audit.c.at, window.start, window.end),
        ).order_by(audit.c.id),
        "messages": _messages(ids, window, known),
        "reminders": of(reminders, _sent_or_pressed(window)).order_by(reminders.c.sent_at),
        "sessions": of(sessions, sessions.c.state == "counted", *_done_in(window, span)).order_by(
            sessions.c.at, sessions.c.id
        ),
        "marks": _marks(ids, window),
        "words": _words(ids, window),
        "visits": of(visits, visits.c.cancelled_at.is_(None), visits.c.at >= window.start).order_by(
            visits.c.at, visits.c.id
        ),
        "grades": select(grades, therapists.c.name.label("therapist"))
        .outerjoin(therapists, therapists.c.id == grades.c.entered_by)
        .where(grades.c.family_id.in_(ids), grades.c.on_date <= window.last)
        .order_by(grades.c.on_date, grades.c.id),
    }


def _between(column: Any, start: datetime, end: datetime) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    return column >= start, column < end


def _sent_or_pressed(window: _Window) -> ColumnElement[bool]:
    sent = and_(*_between(reminders.c.sent_at, window.start, window.end))
    pressed = and_(
        reminders.c.state.in_(PRESSED), *_between(reminders.c.closed_at, window.before, window.end)
    )
    return or_(sent, pressed)


def _done_in(window: _Window, span: Span) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    if isinstance(span, Dates):
        return sessions.c.local_date >= window.first_before, sessions.c.local_date <= window.last
    return _between(sessions.c.logged_at, window.before, window.end)


def _waits() -> ColumnElement[bool]:
    """Say whether something that a message told was asked about and never settled."""
    return (
        select(sessions.c.id)
        .where(sessions.c.message_id == messages.c.id, sessions.c.state == "asked")
        .exists()
    )


def _messages(ids: Sequence[str], window: _Window, known: int | None) -> Select[Any]:
    """Return the messages written or changed in the time, and those that came too late for the digest before it."""
    told = func.coalesce(messages.c.edited_at, messages.c.at)
    wanted = [
        and_(*_between(messages.c.at, window.before, window.end)),
        and_(*_between(told, window.before, window.end)),
    ]
    if known is not None:
        wanted.append(messages.c.id > known)
    # Opening what is sealed costs more than all else here, and only of an edited one the words are told.
    words = case((messages.c.edited_at.is_not(None), messages.c.text))
    return (
        select(
            messages.c.id,
            messages.c.family_id,
            messages.c.carer_id,
            messages.c.kind,
            messages.c.at,
            messages.c.edited_at,
            func.coalesce(messages.c.unread, case((_waits(), messages.c.text))).label("unread"),
            words.label("text"),
        )
        .where(messages.c.family_id.in_(ids), or_(*wanted))
        .order_by(messages.c.at, messages.c.id)
    )


def _marks(ids: Sequence[str], window: _Window) -> Any:
    """Return what carers noted beside minutes, as rows of one shape. mark: from which table."""

    def of(mark: str, table: Any, since: datetime | None, **columns: Any) -> Select[Any]:
        empty: dict[str, ColumnElement[Any]] = {
            "message_id": cast(null(), observations.c.message_id.type),
            "kind": cast(null(), observations.c.kind.type),
            "side": cast(null(), observations.c.side.type),
            "value": cast(null(), confidences.c.value.type),
        }
        shape = empty | columns
        query = select(
            literal(mark).label("mark"),
            table.c.id,
            table.c.family_id,
            table.c.carer_id,
            table.c.at,
            table.c.activity,
            *(column.label(name) for name, column in shape.items()),
        ).where(table.c.family_id.in_(ids), table.c.at < window.end)
        return query if since is None else query.where(table.c.at >= since)

    seen, missed = observations.c, skips.c
    return union_all(
        of(
            "observation",
            observations,
            window.before,
            message_id=seen.message_id,
            kind=seen.kind,
            side=seen.side,
        ),
        of("skip", skips, window.start, message_id=missed.message_id, kind=missed.reason),
        of("confidence", confidences, None, value=confidences.c.value).where(
            confidences.c.value.is_not(None)
        ),
    ).order_by("at", "id")


def _words(ids: Sequence[str], window: _Window) -> Any:
    """Return concerns (denied ones left out) and questions as rows of one shape, with what the other lacks as None."""
    empty: dict[str, ColumnElement[Any]] = {
        "urgency": cast(null(), concerns.c.urgency.type),
        "state": cast(null(), concerns.c.state.type),
        "kind": cast(null(), questions.c.kind.type),
        "activity": cast(null(), questions.c.activity.type),
    }

    def of(table: Any, *own: str) -> Select[Any]:
        shape = empty | {name: table.c[name] for name in own}
        shared = ("text", "id", "family_id", "carer_id", "message_id", "at", "answered_at")
        return select(
            *(table.c[name] for name in shared), *(column.label(name) for name, column in shape.items())
        ).where(table.c.family_id.in_(ids), *_between(table.c.at, window.start, window.end))

    return union_all(
        of(concerns, "urgency", "state").where(concerns.c.state != "denied"),
        of(questions, "kind", "activity"),
    ).order_by("at", "id")


def within(rows: Iterable[Row[Any]], start: datetime, end: datetime) -> list[Row[Any]]:
    """Return the rows whose `at` lies in [start, end)."""
    return [row for row in rows if start <= row.at < end]
