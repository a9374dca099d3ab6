"""Bringing in a clinic's therapists, families and plans."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from bot.activities.library import library_of
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.messenger.installation import opened
from bot.settings import Settings, load_settings
from bot.storage import import_caseload as loading
from bot.storage.caseload_file import Caseload, read_caseload
from bot.storage.repositories.invitations import VALID, printed


def run(file: Path, env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    caseload = read_caseload(file, list(library_of(settings.activities)))
    done = _load(settings, caseload)
    value = {
        "clinic": caseload.clinic.name,
        "new": done.families_new,
        "changed": done.families_changed,
        "as_before": done.families_same,
        "invitations": [
            {"family": family, "name": name, "code": code} for family, name, code in done.invitations
        ],
    }
    answer(value, _lines(caseload, done), as_json=as_json)


def _lines(caseload: Caseload, done: loading.Loaded) -> Iterator[str]:
    yield (
        f"Loaded {caseload.clinic.name}: families new {done.families_new}, changed {done.families_changed}, "
        f"as before {done.families_same}."
    )
    for family, name, code in done.invitations:
        whom = f"{name} of family {family}" if family else f"therapist {name}"
        yield f"Invitation for {whom}, good for {VALID.days} days, once: {printed(code)}"
        yield f"  In the chat with the bot: /start {code}   Link: https://t.me/YOUR_BOT?start={code}"


def _load(settings: Settings, caseload: Caseload) -> loading.Loaded:
    with opened(settings) as store, store.write() as uow:
        return loading.load(uow, caseload, RealClock().now())
