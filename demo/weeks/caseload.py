"""The caseload of a rehearsal, read and checked before anything that lives it is loaded: a wrong file is refused at once."""

from __future__ import annotations

from pathlib import Path

from bot.activities.library import Library, library_of
from bot.errors import InputProblem
from bot.settings import load_settings
from bot.storage.caseload_file import Caseload, FamilySection, read_caseload


def checked_caseload(
    file: Path, family: str | None, env_file: Path | None
) -> tuple[Caseload, FamilySection, Library]:
    """Return a caseload, the family whose plan is lived, else the first, and the activities of this installation.

    Raises:
        InputProblem: the file cannot be read or does not hold, or has no such family.
    """
    library = library_of(load_settings(env_file).activities)
    caseload = read_caseload(file, list(library))
    return caseload, _chosen(caseload, family), library


def _chosen(caseload: Caseload, family: str | None) -> FamilySection:
    found = next((each for each in caseload.families if family in (None, each.id)), None)
    if found is None:
        known = ", ".join(each.id for each in caseload.families) or "none"
        raise InputProblem(f"--family {family!r}: the caseload has no such family; it has {known}")
    return found
