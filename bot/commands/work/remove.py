"""Ending the part of a carer or a therapist."""

from __future__ import annotations

from pathlib import Path

from bot.activities.library import Library, library_of
from bot.clock import RealClock
from bot.commands.answer import answer
from bot.domain.actor import SERVER
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.domain.people import Therapist
from bot.errors import InputProblem
from bot.features.context import Context
from bot.features.enrolment import removing
from bot.messenger.installation import opened
from bot.settings import load_settings
from bot.storage.unit_of_work import UnitOfWork


def run(
    family: FamilyId | None,
    carer: CarerId | None,
    therapist: str | None,
    to: str | None,
    env_file: Path | None,
    *,
    as_json: bool,
) -> None:
    by_family, by_therapist = None not in (family, carer), None not in (therapist, to)
    if by_family == by_therapist:
        raise InputProblem("Say who: underwing remove --family ID --carer ID, or --therapist ID --to ID")
    settings = load_settings(env_file)
    library = library_of(settings.activities)
    with opened(settings) as store, store.write() as uow:
        context = _context(uow, library)
        if family is not None and carer is not None:
            said = _carer(context, family, carer)
        else:
            said = _therapist(context, TherapistId(str(therapist)), TherapistId(str(to)))
    done = {"family": family, "carer": carer, "therapist": therapist, "to": to}
    answer({name: value for name, value in done.items() if value is not None}, [said], as_json=as_json)


def _context(uow: UnitOfWork, library: Library) -> Context:
    clinic = uow.clinics.find()
    if clinic is None:
        raise InputProblem("No clinic is loaded yet, so there is nobody to remove")
    return Context(uow, RealClock().now(), clinic, library)


def _carer(context: Context, family_id: FamilyId, carer_id: CarerId) -> str:
    family = context.uow.families.find(family_id)
    carer = context.uow.carers.find(family_id, carer_id)
    if family is None or carer is None:
        raise InputProblem(
            f"--family {family_id} --carer {carer_id}: there is no such carer; nothing was changed"
        )
    if carer.state == "left":
        raise InputProblem(f"--carer {carer_id}: takes no part any more; nothing was changed")
    removing.put_out_carer(context, family, carer, who=SERVER)
    return f"Carer {carer_id} of family {family_id} takes no part any more. What they logged stays."


def _therapist(context: Context, therapist_id: TherapistId, heir_id: TherapistId) -> str:
    therapist, heir = _working(context, "--therapist", therapist_id), _working(context, "--to", heir_id)
    if therapist.id == heir.id:
        raise InputProblem(f"--to {heir_id}: give another therapist, who takes the families over")
    n = removing.put_out_therapist(context, therapist, heir, who=SERVER)
    return f"Therapist {therapist_id} works here no more; families now with {heir_id}: {n}."


def _working(context: Context, option: str, therapist_id: TherapistId) -> Therapist:
    found = next((each for each in context.uow.therapists.all() if each.id == therapist_id), None)
    if found is None:
        raise InputProblem(f"{option} {therapist_id}: no such therapist works here; nothing was changed")
    return found
