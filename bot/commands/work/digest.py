"""One family's week, from the records."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.activities.library import Library, library_of
from bot.clock import RealClock
from bot.digest.chart import week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.exchange import csv_of
from bot.digest.facts import FamilyFacts
from bot.digest.fhir import fhir_bundle
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.domain.actor import SERVER
from bot.domain.ids import FamilyId
from bot.errors import InputProblem, WorldProblem
from bot.messenger.installation import opened
from bot.phrases import Language, words_for
from bot.settings import Settings, load_settings
from bot.storage.reports.facts import facts_of
from bot.storage.unit_of_work import UnitOfWork
from scheduling.localtime import days_of_iso_week, iso_week_of


@dataclass(frozen=True, slots=True)
class Files:
    """Where what is asked for goes; None: not asked for."""

    pdf: Path | None
    png: Path | None
    csv: Path | None
    fhir: Path | None


def run(
    family: FamilyId,
    week: str | None,
    files: Files,
    language: Language,
    env_file: Path | None,
    *,
    as_json: bool,
    text: bool,
) -> None:
    if as_json and text:
        raise InputProblem("--json and --text both print the digest; choose one")
    settings = load_settings(env_file)
    facts, library = _facts(settings, family, week)
    computed = digest_of(facts)
    words = words_for(language)

    def name_of(activity: str) -> str:
        return library.name(activity, language)

    as_of, paper = facts.as_of.astimezone(ZoneInfo(facts.time_zone)), paper_for(facts.time_zone)
    wanted: list[tuple[Path | None, Callable[[], bytes]]] = [
        (files.pdf, lambda: digest_pdf(ranked([computed]), words, name_of, as_of=as_of, paper=paper)),
        (files.png, lambda: week_picture(computed, words, name_of)),
        (files.csv, lambda: csv_of([computed]).encode("utf-8")),
        (files.fhir, lambda: json.dumps(fhir_bundle(facts, name_of), ensure_ascii=False, indent=1).encode()),
    ]
    for path, content in wanted:
        if path is not None:
            write_file(path, content())
    if as_json:
        sys.stdout.write(json.dumps(computed.as_json(), ensure_ascii=False) + "\n")
    elif text or not any(path for path, _ in wanted):
        sys.stdout.write(family_plain(computed, words, name_of) + "\n")


def write_file(path: Path, content: bytes) -> None:
    """Write a file whole. Raises WorldProblem where it cannot be written."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise WorldProblem(f"{path}: cannot be written ({error.strerror})") from None


def dates_of(week: str) -> tuple[date, ...]:
    try:
        return days_of_iso_week(week)
    except ValueError:
        raise InputProblem(f"--week {week!r} is no ISO 8601 week; write it like 2026-W10") from None


def _facts(settings: Settings, family_id: FamilyId, week: str | None) -> tuple[FamilyFacts, Library]:
    now = RealClock().now()
    with opened(settings) as store, store.write() as uow:
        family = uow.families.find(family_id)
        if family is None:
            raise InputProblem(
                f"--family {family_id!r} is no family in this database; give an id of the caseload file"
            )
        days = dates_of(week or iso_week_of(family.local(now).date()))
        uow.audit.note(who=SERVER, what="digest printed", now=now, family_id=family_id)
        as_of = seen_from(uow, family_id, now)
        return facts_of(uow, family, as_of, last=days[-1], days=7), library_of(settings.activities)


def seen_from(uow: UnitOfWork, family_id: FamilyId, now: datetime) -> datetime:
    """Return the moment from which the records are looked at: now, or the last message where a rehearsed week lies
    ahead of the real clock: what is stored of it has happened."""
    said = uow.messages.last_at(family_id)
    return now if said is None else max(now, said)
