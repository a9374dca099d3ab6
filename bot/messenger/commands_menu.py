"""The menus of commands that the messaging service shows, by language and by who somebody is."""

from __future__ import annotations

from telegram import (
    Bot,
    BotCommand,
    BotCommandScope,
    BotCommandScopeAllGroupChats,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
)

from bot.domain.roles import is_day_care
from bot.messenger.workers import Workers
from bot.phrases import LANGUAGES, Language, words_for

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
    therapists, carers = await workers.read(lambda uow: (uow.therapists.all(), uow.carers.active()))
    day_care = [carer for carer in carers if is_day_care(carer)]
    for therapist in therapists:
        if therapist.chat_id is not None:
            own = BotCommandScopeChat(therapist.chat_id)
            await _set(bot, THERAPIST, therapist.language, own, prefix="menu_therapist")
    for carer in day_care:
        if carer.chat_id is not None:
            await _set(bot, DAY_CARE, carer.language, BotCommandScopeChat(carer.chat_id))


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
