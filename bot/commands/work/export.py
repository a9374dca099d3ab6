"""Everything of one family in a folder, in forms that records, calendars and programs take."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

from bot.activities.library import Library, library_of
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.commands.work.digest import seen_from, write_file
from bot.digest.calendar_file import Visit, calendar_file
from bot.digest.chart import week_picture
from bot.digest.document import digest_pdf, paper_for, visit_note_pdf
from bot.digest.exchange import csv_of, visit_note_text
from bot.digest.facts import FamilyFacts
from bot.digest.fhir import fhir_bundle
from bot.digest.handout import ClinicLines, handout_pdf
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.domain.actor import SERVER
from bot.domain.ids import FamilyId
from bot.domain.people import Clinic, Family, Therapist
from bot.domain.plans import PlanVersion
from bot.domain.visits import KeptVisit
from bot.errors import InputProblem, WorldProblem
from bot.messenger.installation import opened
from bot.phrases import LANGUAGES, Language, Words, words_for
from bot.settings import Settings, load_settings
from bot.storage.reports.facts import facts_of
from bot.storage.unit_of_work import UnitOfWork

WEEK = 7


def run(
    family: FamilyId,
    to: Path,
    language: Language,
    bot_name: str | None,
    env_file: Path | None,
    *,
    as_json: bool,
) -> None:
    _must_be_empty(to)
    settings = load_settings(env_file)
    record = _record(settings, family)
    files = {
        name: make()
        for name, make in _papers(record, library_of(settings.activities), language, bot_name).items()
    }
    try:
        to.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise WorldProblem(
            f"{to}: cannot be made ({error.strerror}); name a folder that may be written"
        ) from None
    for name, content in files.items():
        write_file(to / name, content)
    said = f"Wrote {len(files)} files of family {family} to {to}. They are private: keep them safe."
    answer({"family": family, "folder": str(to), "files": sorted(files)}, [said], as_json=as_json)


def _must_be_empty(to: Path) -> None:
    if to.exists() and not to.is_dir():
        raise InputProblem(f"--to {to} is a file; name a new or empty folder")
    try:
        full = to.is_dir() and any(to.iterdir())
    except OSError as error:
        raise WorldProblem(f"--to {to} cannot be looked into ({error.strerror})") from None
    if full:
        raise InputProblem(f"--to {to} holds files already; name a new or empty folder, so that none is lost")


@dataclass(frozen=True, slots=True)
class _Record:
    """What the papers are made from. week: the last seven days; whole: from the first day on."""

    clinic: Clinic
    family: Family
    therapist: Therapist
    now: datetime
    week: FamilyFacts
    whole: FamilyFacts
    versions: list[PlanVersion]
    visits: list[KeptVisit]
    messages: list[dict[str, Any]]


def _record(settings: Settings, family_id: FamilyId) -> _Record:
    with opened(settings) as store, store.write() as uow:
        family = uow.families.find(family_id)
        clinic = uow.clinics.find()
        if family is None or clinic is None:
            raise InputProblem(
                f"--family {family_id!r} is no family in this database; give an id of the caseload file"
            )
        therapist = uow.therapists.get(family.therapist_id)
        versions = uow.plans.versions(family_id)
        now = seen_from(uow, family_id, RealClock().now())
        began = uow.plans.began_at(family_id, versions[0].made_at)
        last = family.local(now).date()
        days = max(WEEK, (last - family.local(began).date()).days + 1)
        uow.audit.note(who=SERVER, what="family exported", now=now, family_id=family_id)
        return _Record(
            clinic=clinic,
            family=family,
            therapist=therapist,
            now=now,
            week=facts_of(uow, family, now, last=last, days=WEEK),
            whole=facts_of(uow, family, now, last=last, days=days),
            versions=versions,
            visits=uow.visits.of_family(family_id, since=began - timedelta(days=days)),
            messages=_messages(uow, family),
        )


def _messages(uow: UnitOfWork, family: Family) -> list[dict[str, Any]]:
    """Return every message of the family's carers, verbatim, in the order they were written."""
    names = {carer.id: carer.name for carer in uow.carers.of_family(family.id)}

    def local(at: datetime | None) -> str | None:
        return family.local(at).isoformat() if at else None

    return [
        {
            "id": row.id,
            "at": local(row.at),
            "edited_at": local(row.edited_at),
            "carer": names.get(row.carer_id, row.carer_id),
            "kind": row.kind,
            "text": row.text or None,
            "unread": row.unread,
        }
        for row in uow.messages.of_family(family.id)
    ]


def _papers(
    record: _Record, library: Library, language: Language, bot_name: str | None
) -> Mapping[str, Callable[[], bytes]]:
    """Return how to make each file, by its name."""
    words = words_for(language)
    zone, clinic = record.clinic.zone, record.clinic
    local, paper = record.now.astimezone(zone), paper_for(zone.key)
    week, whole = digest_of(record.week), digest_of(record.whole)

    def name_of(activity: str) -> str:
        return library.name(activity, language)

    def sheet(of: str) -> bytes:
        lines = ClinicLines(clinic.name, record.therapist.name, clinic.emergency_line, clinic.nurse_line)
        return handout_pdf(
            record.versions[-1].plan,
            words_for(of),
            library,
            lines=lines,
            as_of=record.family.local(record.now),
            bot_name=bot_name,
            paper=paper_for(record.family.zone.key),
        )

    return {
        "digest.json": lambda: _json(week.as_json()),
        "digest.txt": lambda: (family_plain(week, words, name_of) + "\n").encode(),
        "digest.pdf": lambda: digest_pdf(ranked([week]), words, name_of, as_of=local, paper=paper),
        "digest.png": lambda: week_picture(week, words, name_of),
        "visit-note.txt": lambda: visit_note_text(week, words, name_of).encode(),
        "visit-note.pdf": lambda: visit_note_pdf([week], words, name_of, as_of=local, paper=paper),
        "sessions.csv": lambda: csv_of([whole]).encode(),
        "record.fhir.json": lambda: _json(fhir_bundle(record.whole, name_of)),
        "visits.ics": lambda: _calendar(record, words),
        "messages.json": lambda: _json(record.messages),
        "plans.json": lambda: _json([_plan(version, record.family) for version in record.versions]),
        **{f"fridge-sheet-{of}.pdf": partial(sheet, of) for of in LANGUAGES},
    }


def _calendar(record: _Record, words: Words) -> bytes:
    visits = [Visit(str(v.id), v.nickname, v.at, v.minutes) for v in record.visits]
    return calendar_file(words, time_zone=record.clinic.zone.key, as_of=record.now, visits=visits)


def _plan(version: PlanVersion, family: Family) -> dict[str, Any]:
    return {
        "version": version.version,
        "made_at": family.local(version.made_at).isoformat(),
        "made_by": version.made_by.stored,
        "note": version.note,
        "plan": version.document,
    }


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode("utf-8")
