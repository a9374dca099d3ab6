"""The digest's document, set from the records of the world as it is."""

from __future__ import annotations

import asyncio

from bot.domain.rendering import DocumentRequest
from bot.features.digests import send
from bot.features.routing.render_routes import gather
from bot.parsing.period import encoded
from demo.week import Week


async def document_of(week: Week) -> bytes | None:
    """Return the document of the last digest that went out; None before the first."""
    with week.store.read() as uow:
        context = week.rehearsal.parts.router.context(uow)
        therapist = uow.therapists.all()[0]
        if context is None or therapist.digest_until is None:
            return None
        span = encoded(send.week_up_to(context.clinic, therapist.digest_until))
        wanted = DocumentRequest(
            therapist=therapist.id, family=None, language=therapist.language, span=span, at=context.now
        )
        work = gather(context, wanted)
    if work is None:
        return None
    drawn = await asyncio.to_thread(work.draw, week.library)
    attachment = drawn[0].attachment
    return attachment.content if attachment else None
