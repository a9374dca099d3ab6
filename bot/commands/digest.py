"""underwing digest: one family's week, from the records."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

import typer

from bot.activities.library import Library
from bot.clock import RealClock
from bot.commands.options import EnvFile
from bot.digest.chart import week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.exchange import csv_of
from bot.digest.facts import FamilyFacts
from bot.digest.fhir import fhir_bundle
from bot.digest.ranking import ranked
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.domain.actor import SERVER
from bot.errors import InputProblem, WorldProblem
from bot.messenger.serve import library_of, opened
from bot.phrases import words_for
from bot.settings import Settings, load_settings
from bot.storage.reports.facts import facts_of
from bot.storage.unit_of_work import UnitOfWork
from scheduling.localtime import days_of_iso_week, iso_week_of


def digest(
    family: Annotated[str, typer.Option(help="The family's id.")],
    week: Annotated[
        str | None, typer.Option(help="ISO 8601 week in the family's zone, like 2026-W10; else this week.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the digest as JSON.")] = False,
    text: Annotated[bool, typer.Option("--text", help="Print it as text (the default).")] = False,
    pdf: Annotated[Path | None, typer.Option(help="Write the document.")] = None,
    png: Annotated[Path | None, typer.Option(help="Write the picture.")] = None,
    csv: Annotated[Path | None, typer.Option(help="Write every session, one a row.")] = None,
    fhir: Annotated[Path | None, typer.Option(help="Write an HL7 FHIR R4 bundle.")] = None,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of words.")] = "en",
    env_file: EnvFile = None,
) -> None:
    """Sum up a family's week for the therapist."""
    if as_json and text:
        raise InputProblem("--json and --text both print the digest; choose one")
    settings = load_settings(env_file)
    facts, library = _facts(settings, family, week)
    computed = digest_of(facts)
    words = words_for(language)

    def name_of(activity: str) -> str:
        return library.name(activity, language)

    as_of = facts.as_of.astimezone(ZoneInfo(facts.time_zone))
    files: list[tuple[Path | None, Callable[[], bytes]]] = [
        (
            pdf,
            lambda: digest_pdf(
                ranked([computed]), words, name_of, as_of=as_of, paper=paper_for(facts.time_zone)
            ),
        ),
        (png, lambda: week_picture(computed, words, name_of)),
        (csv, lambda: csv_of([computed]).encode("utf-8")),
        (fhir, lambda: json.dumps(fhir_bundle(facts, name_of), ensure_ascii=False, indent=1).encode("utf-8")),
    ]
    for path, content in files:
        if path is not None:
            write_file(path, content())
    if as_json:
        sys.stdout.write(json.dumps(computed.as_json(), ensure_ascii=False) + "\n")
    elif text or not any(path for path, _ in files):
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


def _facts(settings: Settings, family_id: str, week: str | None) -> tuple[FamilyFacts, Library]:
    now = RealClock().now()
    with opened(settings) as store, store.write() as uow:
        family = uow.families.find(family_id)
        if family is None:
            raise InputProblem(f"--family {family_id!r} is no family in this database")
        days = dates_of(week or iso_week_of(family.local(now).date()))
        uow.audit.note(who=SERVER, what="digest printed", now=now, family_id=family_id)
        as_of = seen_from(uow, family_id, now)
        return facts_of(uow, family, as_of, last=days[-1], days=7), library_of(settings)


def seen_from(uow: UnitOfWork, family_id: str, now: datetime) -> datetime:
    """Return the moment from which the records are looked at: now, or the last message where a rehearsed week lies
    ahead of the real clock: what is stored of it has happened."""
    said = uow.messages.last_at(family_id)
    return now if said is None else max(now, said)
