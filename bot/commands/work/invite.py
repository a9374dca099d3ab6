"""A carer of a family, by a one-time link."""

from __future__ import annotations

from pathlib import Path

from bot.clock import RealClock
from bot.commands.work.enrol import LONGEST_NAME, show_invitation
from bot.domain.actor import SERVER
from bot.domain.ids import CarerId, FamilyId
from bot.domain.people import language_from
from bot.errors import InputProblem
from bot.messenger.installation import opened
from bot.phrases import LANGUAGES
from bot.settings import Settings, load_settings
from bot.storage import registration
from bot.storage.unit_of_work import UnitOfWork


def run(
    family: FamilyId,
    carer: CarerId | None,
    name: str | None,
    role: str,
    language: str,
    env_file: Path | None,
    *,
    as_json: bool,
) -> None:
    if (carer is None) == (name is None):
        raise InputProblem("give --carer ID for somebody listed, or --name NAME for somebody new")
    if name is not None and not 0 < len(name.strip()) <= LONGEST_NAME:
        raise InputProblem(f"--name {name!r}: give 1 to {LONGEST_NAME} characters")
    if not 0 < len(role.strip()) <= 20:
        raise InputProblem(f"--role {role!r}: give 1 to 20 characters")
    if language not in LANGUAGES:
        raise InputProblem(f"--language {language!r}: give one of {', '.join(LANGUAGES)}")
    settings = load_settings(env_file)
    whom, code = _invite(settings, family, carer, name, role.strip(), language)
    show_invitation(settings, f"{whom} of family {family}", code, as_json=as_json)


def _invite(
    settings: Settings,
    family_id: FamilyId,
    carer_id: CarerId | None,
    name: str | None,
    role: str,
    language: str,
) -> tuple[str, str]:
    now = RealClock().now()
    with opened(settings) as store, store.write() as uow:
        if uow.families.find(family_id) is None:
            raise InputProblem(f"--family {family_id!r}: no such family; underwing load brings families in")
        if carer_id is None:
            carer_id = registration.add_carer(
                uow, family_id, name=str(name).strip(), language=language_from(language), role=role
            )
        whom = _waiting(uow, family_id, carer_id)
        code = uow.invitations.invite(family_id=family_id, carer_id=carer_id, now=now)
        uow.audit.note(who=SERVER, what="carer invited", now=now, family_id=family_id, detail=carer_id)
        return whom, code


def _waiting(uow: UnitOfWork, family_id: FamilyId, carer_id: CarerId) -> str:
    """Return the name of a carer who may be invited. Raises InputProblem where there is none, or they have joined."""
    found = uow.carers.find(family_id, carer_id)
    if found is None:
        raise InputProblem(f"--carer {carer_id!r}: family {family_id} has no such carer")
    if found.state == "active":
        raise InputProblem(f"--carer {carer_id!r}: {found.name} has joined already")
    return found.name
