"""What a therapist asks of the records: digests, pages, figures traced, grades, visits, papers. By command, button or words."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import digesting, family_page, handing_out, scales, tracing, visits
from bot.records.people import Therapist

Act = Callable[[Desk, Incoming, Therapist, str], Awaitable[None]]

COMMANDS: dict[str, Act] = {
    "/digest": digesting.asked,
    "/grade": scales.grade,
    "/visit": visits.visit,
    "/note": family_page.note,
    "/handout": handing_out.handout,
}

PRESSED: dict[str, Act] = {
    "page": family_page.pressed_page,
    "pdf": digesting.pressed_pdf,
    "note": family_page.pressed_note,
    "csv": family_page.pressed_table,
    "from": tracing.pressed_from,
    "trace": tracing.pressed_trace,
    "grade": scales.pressed_grade,
    "ungrade": scales.pressed_ungrade,
    "unvisit": visits.pressed_unvisit,
    "sheet": handing_out.pressed_sheet,
    "givesheet": handing_out.pressed_givesheet,
}


async def wrote(desk: Desk, incoming: Incoming, therapist: Therapist) -> bool:
    """Take a therapist's words where they ask for a figure's entries or give grades; return whether they did."""
    return await tracing.asked_in_words(desk, incoming, therapist) or await scales.wrote(
        desk, incoming, therapist
    )
