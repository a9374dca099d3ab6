"""Every button there is, with the least, the greatest and the last numbers and dates that its data can hold: none fails."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
from sqlalchemy import select

from bot.activities.library import load_library
from bot.features import buttons, verbs
from bot.features.buttons import HIGHEST_NUMBER, MOST_COUNTED, Argument, DataTooLong
from bot.parsing.dates import FIRST_YEAR, LAST_YEAR
from bot.parsing.period import Dates, Instants
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.tables import inbox, sessions
from tests.conftest import BOTH
from tests.journeys.clinic import two_therapists
from tests.messenger.conftest import MUM, NOW, ROBIN, Edge

FIRST_DAY, LAST_DAY = date.min, date.max
NEAR, FAR = date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)  # what is still read
NUMBERS = (1, MOST_COUNTED, HIGHEST_NUMBER)
WORDS = ("tummy_time", "left")
ENDS = (datetime(1970, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, tzinfo=UTC))
EXTREMES: dict[int, tuple[Any, ...]] = {
    id(buttons.WORD): WORDS,
    id(buttons.TEXT): ("9" * 30,),
    id(buttons.SPAN): (Dates(NEAR, NEAR), Dates(FAR, FAR), Dates(FIRST_DAY, LAST_DAY), Instants(*ENDS)),
    id(buttons.DAY): tuple(day.isoformat() for day in (FIRST_DAY, LAST_DAY, NEAR, FAR)),
    id(buttons.DAY_PART): (*NUMBERS, "none"),
    id(buttons.FAMILY): ("f1",),
    id(buttons.CARER): ("c2",),
    id(buttons.THERAPIST): ("t2",),
}


def takes(argument: Argument[Any], value: Any) -> bool:
    try:
        argument.read(argument.write(value))
    except (AttributeError, ValueError):
        return False
    return True


def extremes_of(argument: Argument[Any]) -> tuple[Any, ...]:
    """Return what to try; of an argument that stands not above, as one of a short list, whatever it takes of all."""
    if id(argument) in EXTREMES:
        return EXTREMES[id(argument)]
    words = [value for values in EXTREMES.values() for value in values if isinstance(value, str)]
    return tuple(value for value in dict.fromkeys([*NUMBERS, *words]) if takes(argument, value))


def forged() -> Iterator[str]:
    for verb in verbs.VERBS.values():
        for values in itertools.product(*(extremes_of(argument) for argument in verb.arguments)):
            try:
                data = verb.data(*values)
            except DataTooLong:
                continue
            yield data


def press(number: int, who: int, data: str) -> dict[str, Any]:
    sender = {"id": who, "is_bot": False, "first_name": "x"}
    message = {"message_id": 1, "date": 1, "chat": {"id": who, "type": "private"}, "text": "x"}
    return {
        "update_id": number,
        "callback_query": {"id": str(number), "from": sender, "message": message, "data": data},
    }


@BOTH
@pytest.mark.parametrize("who", [MUM, ROBIN])
async def test_no_forged_number_or_date_fails(edge: Edge, who: int) -> None:
    loaded = caseload_from(two_therapists(), list(load_library()), where="test")
    with edge.store.write() as uow:
        import_caseload.load(uow, loaded, NOW)
    presses = [press(number, who, data) for number, data in enumerate(forged(), 1)]
    with edge.store.write() as uow:
        uow.inbox.keep(presses, NOW)
    while await edge.parts.handler.handle_waiting():
        pass

    with edge.store.read() as uow:
        failed = uow.conn.execute(select(inbox.c.raw, inbox.c.error).where(inbox.c.state != "done")).all()
        counted = uow.conn.scalars(select(sessions.c.minutes)).all()
    assert len(presses) > 300
    assert [(raw, error) for raw, error in failed] == []
    assert counted == []
