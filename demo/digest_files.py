"""The picture and the document of the therapist's last digest, drawn as the bot draws them."""

from __future__ import annotations

from bot.activities.library import Library
from bot.domain.rendering import DigestRequest, DocumentRequest
from bot.features.digests import send
from bot.features.routing.render_routes import Work, gather
from bot.parsing.period import encoded
from bot.storage.store import Store
from demo.rehearsal import Rehearsal


def digest_files(rehearsal: Rehearsal, store: Store) -> tuple[bytes, bytes] | None:
    """Return the picture (PNG) and the document (PDF) of the first therapist's last digest, None before the first."""
    with store.read() as uow:
        context = rehearsal.parts.router.context(uow)
        therapist = uow.therapists.all()[0]
        if context is None or therapist.digest_until is None:
            return None
        span = encoded(send.week_up_to(context.clinic, therapist.digest_until))
        asked = DigestRequest(therapist=therapist.id, language=therapist.language, span=span, at=context.now)
        document = DocumentRequest(
            therapist=therapist.id, family=None, language=therapist.language, span=span, at=context.now
        )
        works = gather(context, asked), gather(context, document)
    picture, pages = (_file(work, context.library) for work in works)
    return picture, pages


def _file(work: Work | None, library: Library) -> bytes:
    """Return the file of what is drawn as one message."""
    assert work is not None
    (drawn,) = work.draw(library)
    assert drawn.attachment is not None and drawn.attachment.content is not None
    return drawn.attachment.content
