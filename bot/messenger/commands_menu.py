"""The menus of commands that the messaging service shows, by language and by who somebody is."""

from __future__ import annotations

from datetime import timedelta

import structlog
from telegram import (
    Bot,
    BotCommand,
    BotCommandScope,
    BotCommandScopeAllGroupChats,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
)
from telegram.error import TelegramError

from bot.domain.roles import is_day_care
from bot.messenger.workers import Workers
from bot.phrases import LANGUAGES, Language, words_for
from bot.storage.trouble import DatabaseAway
from scheduling.runner import PeriodicJob

log = structlog.get_logger(__name__)

CARER = (
    "today", "week", "howto", "day", "duty", "pause", "resume", "travel", "language", "privacy", "help", "leave",
)  # fmt: skip
DAY_CARE = ("today", "howto", "language", "privacy", "help", "leave")
GROUP = ("today", "howto", "pause", "resume", "help")
THERAPIST = (
    "families", "digest", "write", "plan", "howto", "material", "visit", "note", "grade", "handout", "newfamily", "invite",
    "remove", "handover", "cover", "quiet", "group", "audit", "help",
)  # fmt: skip


def _menu(names: tuple[str, ...], language: Language, prefix: str) -> list[BotCommand]:
    words = words_for(language)
    return [BotCommand(name, words.plain(f"{prefix}.{name}")) for name in names]


async def set_menus(bot: Bot, workers: Workers) -> None:
    """Set the carers' and the groups' menus in every language, and those of therapists and day care in their chats."""
    for language in LANGUAGES:
        for names, scope in (
            (CARER, BotCommandScopeAllPrivateChats()),
            (GROUP, BotCommandScopeAllGroupChats()),
        ):
            await _set(bot, names, language, scope, language_code=None if language == "en" else language)
    await TherapistMenus(bot, workers).refresh()
    for carer in await workers.read(lambda uow: uow.carers.active()):
        if is_day_care(carer) and carer.chat_id is not None:
            await _set(bot, DAY_CARE, carer.language, BotCommandScopeChat(carer.chat_id))


class TherapistMenus:
    """Gives each therapist their own menu, as soon as they have joined or read another language."""

    def __init__(self, bot: Bot, workers: Workers) -> None:
        self._bot, self._workers = bot, workers
        self._shown: dict[int, Language] = {}

    def periodic_job(self) -> PeriodicJob:
        return PeriodicJob("menus", timedelta(seconds=5), self.refresh_if_reached)

    async def refresh_if_reached(self) -> bool:
        try:
            await self.refresh()
        except (TelegramError, DatabaseAway) as error:
            log.warning("menus not set", error=error)
            return False
        return True

    async def refresh(self) -> None:
        """Set the menus that are not as they should be. Raises TelegramError where the service refuses."""
        for therapist in await self._workers.read(lambda uow: uow.therapists.all()):
            chat_id, language = therapist.chat_id, therapist.language
            if chat_id is not None and self._shown.get(chat_id) != language:
                await _set(
                    self._bot, THERAPIST, language, BotCommandScopeChat(chat_id), prefix="menu_therapist"
                )
                self._shown[chat_id] = language


async def _set(
    bot: Bot,
    names: tuple[str, ...],
    language: Language,
    scope: BotCommandScope,
    *,
    prefix: str = "menu_carer",
    language_code: str | None = None,
) -> None:
    await bot.set_my_commands(_menu(names, language, prefix), scope=scope, language_code=language_code)
