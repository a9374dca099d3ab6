"""What a therapist asks of the records: digests, pages, figures traced, grades, visits, papers. By command, button or words."""

from __future__ import annotations

from collections.abc import Callable

from bot.domain.people import Therapist
from bot.features import verbs
from bot.features.buttons import TherapistPress, by_therapist
from bot.features.context import Context
from bot.features.digests import family_page, send, trace
from bot.features.events import Event, TextWritten
from bot.features.visits import handout, scales, visits

Act = Callable[[Context, Event, Therapist, str], None]

COMMANDS: dict[str, Act] = {
    "/digest": send.asked,
    "/grade": scales.grade,
    "/visit": visits.visit,
    "/note": family_page.note,
    "/handout": handout.handout,
}

PRESSED: dict[str, TherapistPress] = dict(
    [
        by_therapist(verbs.PAGE, family_page.pressed_page),
        by_therapist(verbs.DOCUMENT, send.pressed_pdf),
        by_therapist(verbs.NOTE, family_page.pressed_note),
        by_therapist(verbs.TABLE, family_page.pressed_table),
        by_therapist(verbs.RECORD, family_page.pressed_record),
        by_therapist(verbs.VISITS, visits.pressed_visits),
        by_therapist(verbs.FROM, trace.pressed_from),
        by_therapist(verbs.TRACE, trace.pressed_trace),
        by_therapist(verbs.GRADE, scales.pressed_grade),
        by_therapist(verbs.UNGRADE, scales.pressed_ungrade),
        by_therapist(verbs.UNVISIT, visits.pressed_unvisit),
        by_therapist(verbs.HANDOUT, handout.pressed_sheet),
        by_therapist(verbs.GIVE_HANDOUT, handout.pressed_givesheet),
    ]
)


def wrote(context: Context, event: TextWritten, therapist: Therapist) -> bool:
    """Take a therapist's words where they ask for a figure's entries or give grades; return whether they did."""
    return trace.asked_in_words(context, event, therapist) or scales.wrote(context, event, therapist)
