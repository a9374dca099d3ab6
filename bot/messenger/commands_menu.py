"""The menus of commands that the messaging service shows, by language and by who somebody is."""

from __future__ import annotations

from telegram import Bot, BotCommand, BotCommandScopeAllPrivateChats, BotCommandScopeChat

from bot.phrases import LANGUAGES, Language, words_for
from bot.records import people
from bot.records.store import Store

CARER = ("today", "week", "howto", "pause", "resume", "help", "leave")
THERAPIST = ("families", "digest", "help")


def _menu(names: tuple[str, ...], language: Language, prefix: str) -> list[BotCommand]:
    words = words_for(language)
    return [BotCommand(name, words.plain(f"{prefix}.{name}")) for name in names]


async def set_menus(bot: Bot, store: Store) -> None:
    """Set the carers' menu in every language, and the therapists' own in their chats."""
    for language in LANGUAGES:
        await bot.set_my_commands(
            _menu(CARER, language, "menu_carer"),
            scope=BotCommandScopeAllPrivateChats(),
            language_code=None if language == "en" else language,
        )
    async with store.read() as conn:
        therapists = await people.all_therapists(conn)
    for therapist in therapists:
        if therapist.chat_id is not None:
            await bot.set_my_commands(
                _menu(THERAPIST, therapist.language, "menu_therapist"),
                scope=BotCommandScopeChat(therapist.chat_id),
            )
