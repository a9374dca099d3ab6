"""The content of a therapist's photos, clips and voice notes: fetched from the service, and sent anew where its id is refused.

A file id belongs to one bot. When the clinic changes its token, or the service refuses the id, what we keep is sent instead
and the new id is noted.
"""

from __future__ import annotations

import base64
from dataclasses import replace
from datetime import timedelta

import structlog
from telegram import Bot
from telegram.error import BadRequest, TelegramError

from bot.clock import Clock
from bot.messenger.api import Outcome
from bot.messenger.workers import Workers
from bot.storage.repositories.deliveries import Outgoing
from bot.storage.trouble import DatabaseAway
from scheduling.runner import PeriodicJob

MOST_BYTES = 20 * 1024 * 1024  # the service lets a bot download no more (Bot API, getFile)
FETCHED_A_BEAT = 3
DOWNLOAD_WITHIN = 60  # seconds

log = structlog.get_logger(__name__)


class MaterialFiles:
    """Downloads happen outside of any transaction: a clip may take a minute."""

    def __init__(self, workers: Workers, bot: Bot, clock: Clock) -> None:
        self._workers, self._bot, self._clock = workers, bot, clock

    def periodic_job(self) -> PeriodicJob:
        return PeriodicJob("materials", timedelta(seconds=10), self.fetch_missing)

    async def fetch_missing(self) -> bool:
        """Fetch what was added and is not kept here yet, a few at a time."""
        now = self._clock.now()
        try:
            missing = await self._workers.read(lambda uow: uow.media.to_fetch(now, limit=FETCHED_A_BEAT))
            for material_id, file_id in missing:
                await self._fetch(material_id, file_id)
        except DatabaseAway:
            return False
        return True

    async def _fetch(self, material_id: int, file_id: str) -> None:
        try:
            content = await self._download(file_id)
        except BadRequest as error:
            # Too big, or no file of ours: asking again changes nothing. The service's id still works for this bot.
            log.warning("material cannot be fetched", material=material_id, error=error)
            content = None
        except TelegramError as error:
            log.warning("material not fetched yet", material=material_id, error=error)
            now = self._clock.now()
            await self._workers.write(lambda uow: uow.media.fetch_failed(material_id, now))
            return
        await self._workers.write(lambda uow: uow.media.fetched(material_id, content))

    async def _download(self, file_id: str) -> bytes | None:
        file = await self._bot.get_file(file_id)
        if file.file_size is not None and file.file_size > MOST_BYTES:
            return None
        return bytes(await file.download_as_bytearray(read_timeout=DOWNLOAD_WITHIN))

    async def kept_copy(self, out: Outgoing) -> Outgoing | None:
        """Return a message whose file the service refused with the file that we keep; None where we keep none."""
        material_id = _material_of(out)
        if material_id is None:
            return None
        content = await self._workers.read(lambda uow: uow.media.content_of(material_id))
        if content is None:
            return None
        file = {**out.payload["file"], "file_id": None, "content": base64.b64encode(content).decode("ascii")}
        return replace(out, payload={**out.payload, "file": file})

    async def note_new_id(self, out: Outgoing, outcome: Outcome) -> None:
        """Note by which id the service knows a kept file that was sent anew."""
        material_id = _material_of(out)
        if material_id is not None and (known_as := outcome.file_id) is not None:
            await self._workers.write(lambda uow: uow.media.known_as(material_id, known_as))


def _material_of(out: Outgoing) -> int | None:
    named = (
        out.about is not None and out.about.kind == "material" and out.payload.get("file", {}).get("file_id")
    )
    return out.about.number if named and out.about is not None else None
