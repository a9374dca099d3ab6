"""The scenario's week, ready to be lived."""

from __future__ import annotations

from contextlib import AbstractAsyncContextManager

from bot.activities.library import load_library
from bot.storage.caseload_file import caseload_from
from demo.household import Household
from demo.scenario import Scenario
from demo.stage import Stage, opened

Week = Stage[Household]


def living(scenario: Scenario) -> AbstractAsyncContextManager[Week]:
    """Open a week at its first moment; everything of it is gone afterwards."""
    library = load_library()
    caseload = caseload_from(scenario.caseload, list(library), where="demo/scenario.yaml")
    return opened(
        caseload, library, scenario.starts, scenario.ends, lambda server: Household(scenario, server)
    )
