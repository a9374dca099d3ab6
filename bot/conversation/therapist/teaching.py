"""Teaching material: what a therapist shows of a hold, kept for one family and shown to that family alone.

A photo, clip or voice note becomes part of the refresher of one hold, once the therapist has said for whom, for which
hold, and that the family agreed.
"""

from __future__ import annotations

import html
import re
from typing import Any

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan.plan_lines import day_shown
from bot.conversation.plan.plan_vocabulary import either, fold, names_of
from bot.conversation.therapist.seen_families import families_named, families_seen_by, family_seen_by
from bot.phrases import Words, words_for
from bot.records import audit, day, materials, outbox, people
from bot.records.materials import Material
from bot.records.people import Family, Therapist
from bot.say import Attachment, Button, Buttons, Say, row

KINDS = {"photo": "picture", "video": "video", "voice": "voice"}
MOST_WAITING = 10  # files of one chat of which not all was said yet
MOST_LISTED = 20
MOST_FAMILIES = 90  # buttons under one message: 100 at most, by the messaging service
LONGEST_CAPTION = 700  # characters; the service takes 1024 with what we say around it


async def received(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Take a photo, clip or voice note of a therapist, and ask what its caption does not say."""
    assert incoming.message_id is not None and incoming.file_id is not None
    said = fold(incoming.text)
    families = await families_seen_by(desk, therapist)
    waiting: dict[str, Any] = {
        "kind": KINDS[incoming.what],
        "file_id": incoming.file_id,
        "caption": _shown_caption(desk, incoming.text, families),
        "family": _family_in(said, families),
        "activity": _activity_in(said, names_of(desk.library)),
    }
    await _keep_waiting(desk, incoming.chat_id, str(incoming.message_id), waiting)
    await _ask_next(desk, incoming, therapist, str(incoming.message_id), waiting)


def _family_in(said: str, families: list[Family]) -> str | None:
    if len(families) == 1:
        return families[0].id
    found = [
        each.id for each in families if re.search(rf"(?<!\w){re.escape(fold(each.nickname))}(?!\w)", said)
    ]
    return found[0] if len(found) == 1 else None


def _activity_in(said: str, names: dict[str, str]) -> str | None:
    """Return the one hold that a caption names, looked for before its first colon and then in the whole of it.

    None where it names none or several: "football: hand under the chest" is about the football hold.
    """
    for part in (said.partition(":")[0], said):
        found = {names.get(match[0]) for match in re.finditer(rf"(?<!\w){either(names)}", part)}
        if len(found) == 1:
            return found.pop()
    return None


def _shown_caption(desk: Desk, text: str, families: list[Family]) -> str | None:
    """Return what the family reads: the caption without the names before its first colon; none where it is names alone."""
    names = [*names_of(desk.library), *(fold(each.nickname) for each in families)]

    def only_names(part: str) -> bool:
        return not re.search(r"\w", re.sub(rf"(?<!\w){either(names)}", " ", fold(part)))

    before, colon, after = text.partition(":")
    shown = after if colon and only_names(before) else text
    return None if only_names(shown) else shown.strip()[:LONGEST_CAPTION]


async def _keep_waiting(desk: Desk, chat_id: int, key: str, waiting: dict[str, Any] | None) -> None:
    """Note what is known of a file not yet kept (None: forget it). Whatever else the chat is about stays."""
    chat = await people.chat(desk.conn, chat_id)
    files = {name: value for name, value in chat.data.get("files", {}).items() if name != key}
    if waiting is not None:
        files[key] = waiting
    files = dict(list(files.items())[-MOST_WAITING:])
    await people.change_chat(desk.conn, chat_id, step_data={**chat.data, "files": files})


async def _ask_next(
    desk: Desk, incoming: Incoming, therapist: Therapist, key: str, waiting: dict[str, Any]
) -> None:
    """Ask for whom, for which hold, and whether the family agreed: one at a time."""
    words = words_for(therapist.language)
    family = await family_seen_by(desk, therapist, waiting["family"]) if waiting["family"] else None
    no = Button(words.plain("material.no_button"), f"mat:{key}:no")
    if family is None:
        families = _by_name(await families_seen_by(desk, therapist))[:MOST_FAMILIES]
        offered = [Button(each.nickname[:24], f"mat:{key}:f:{each.id}") for each in families]
        text = words("material.for_whom") if offered else words("therapist.no_families")
        await _say(desk, incoming, text, (*_two_a_row(offered), row(no)))
    elif waiting["activity"] is None:
        plan = await day.plan_of(desk.conn, family.id)
        planned = [each.activity for each in plan.plan.activities] if plan else []
        others = [each for each in desk.library if each not in planned]
        offered = [
            Button(desk.library.name(each, therapist.language), f"mat:{key}:a:{each}")
            for each in [*planned, *others]
        ]
        await _say(
            desk,
            incoming,
            words("material.which_hold", nickname=family.nickname),
            (*_two_a_row(offered[:MOST_FAMILIES]), row(no)),
        )
    else:
        hold = desk.library.in_sentence(waiting["activity"], therapist.language)
        lines = [words("material.agreed_question", nickname=family.nickname, activity=hold)]
        if waiting["caption"]:
            lines.append(words("material.caption", caption=waiting["caption"]))
        yes = Button(words.plain("material.yes_button"), f"mat:{key}:yes")
        await _say(desk, incoming, "\n".join(lines), (row(yes), row(no)))


def _by_name(families: list[Family]) -> list[Family]:
    return sorted(families, key=lambda family: family.nickname.casefold())


def _two_a_row(buttons: list[Button]) -> Buttons:
    return tuple(tuple(buttons[place : place + 2]) for place in range(0, len(buttons), 2))


async def pressed(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Do what a button under a file's question says: "KEY:f:FAMILY", "KEY:a:ACTIVITY", "KEY:yes", "KEY:no"."""
    key, _, rest = argument.partition(":")
    op, _, value = rest.partition(":")
    words = words_for(therapist.language)
    chat = await people.chat(desk.conn, incoming.chat_id)
    waiting = chat.data.get("files", {}).get(key)
    if waiting is None:
        await _say(desk, incoming, words("material.send_again"), ())
        return
    if op == "no":
        await _keep_waiting(desk, incoming.chat_id, key, None)
        await _say(desk, incoming, words("material.not_kept"), ())
        return
    if op == "yes":
        await _keep(desk, incoming, therapist, key, waiting)
        return
    if op == "f" and await family_seen_by(desk, therapist, value) is not None:
        waiting["family"] = value
    elif op == "a" and value in desk.library:
        waiting["activity"] = value
    await _keep_waiting(desk, incoming.chat_id, key, waiting)
    await _ask_next(desk, incoming, therapist, key, waiting)


async def _keep(
    desk: Desk, incoming: Incoming, therapist: Therapist, key: str, waiting: dict[str, Any]
) -> None:
    family = await family_seen_by(desk, therapist, waiting["family"]) if waiting["family"] else None
    if family is None or waiting["activity"] is None:
        await _ask_next(desk, incoming, therapist, key, waiting)
        return
    number = await materials.add(
        desk.conn,
        family_id=family.id,
        activity=waiting["activity"],
        kind=waiting["kind"],
        file_id=waiting["file_id"],
        caption=waiting["caption"],
        added_by=therapist.id,
        now=desk.now,
    )
    await _keep_waiting(desk, incoming.chat_id, key, None)
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="material kept, family agreed",
        now=desk.now,
        family_id=family.id,
        detail=f"{number} {waiting['activity']}",
    )
    words = words_for(therapist.language)
    hold = desk.library.in_sentence(waiting["activity"], therapist.language)
    await _say(desk, incoming, words("material.kept", nickname=family.nickname, activity=hold), ())


# ---------------------------------------------------------------- listing, showing, taking back


async def command(desk: Desk, incoming: Incoming, therapist: Therapist, said: str) -> None:
    """/material and /material NICKNAME."""
    found = await families_named(desk, therapist, said) if said else await families_seen_by(desk, therapist)
    words = words_for(therapist.language)
    if len(found) == 1:
        await _list(desk, incoming, therapist, found[0])
    elif not found:
        await _say(desk, incoming, words("material.no_such_family"), ())
    else:
        offered = [
            Button(each.nickname[:24], f"matlist:{each.id}") for each in _by_name(found)[:MOST_FAMILIES]
        ]
        await _say(desk, incoming, words("material.whose"), _two_a_row(offered))


async def pressed_list(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await family_seen_by(desk, therapist, argument)
    if family is None:
        await _say(desk, incoming, words_for(therapist.language)("material.no_such_family"), ())
    else:
        await _list(desk, incoming, therapist, family)


async def _list(desk: Desk, incoming: Incoming, therapist: Therapist, family: Family, note: str = "") -> None:
    words = words_for(therapist.language)
    found = (await materials.of_family(desk.conn, family.id))[:MOST_LISTED]
    lines = [note] if note else []
    if not found:
        lines.append(words("material.none", nickname=family.nickname))
    else:
        lines.append(words("material.title", nickname=family.nickname))
    lines += [_line(desk, place, each, family, words) for place, each in enumerate(found, start=1)]
    buttons = tuple(
        row(
            Button(words.plain("material.show_button", n=place), f"matshow:{each.id}"),
            Button(words.plain("material.back_button", n=place), f"matback:{each.id}"),
        )
        for place, each in enumerate(found, start=1)
    )
    await _say(desk, incoming, "\n".join(lines), buttons)


def _line(desk: Desk, place: int, material: Material, family: Family, words: Words) -> str:
    return words(
        f"material.line_{material.kind}",
        place=place,
        activity=desk.library.name(material.activity, words.language),
        day=day_shown(family.local(material.added_at).date(), words),
        caption=material.caption or "",
    ).rstrip(": ")


async def _own(desk: Desk, therapist: Therapist, argument: str) -> tuple[Material, Family] | None:
    number = int(argument) if argument.isdigit() and len(argument) < 16 else None
    material = await materials.material(desk.conn, number) if number is not None else None
    family = await family_seen_by(desk, therapist, material.family_id) if material else None
    return (material, family) if material and family else None


async def pressed_show(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Show the therapist one of them, as the family sees it."""
    own = await _own(desk, therapist, argument)
    if own is None:
        await _say(desk, incoming, words_for(therapist.language)("material.gone"), ())
        return
    material, _ = own
    await desk.say(
        Say(
            chat_id=incoming.chat_id,
            text=html.escape(material.caption or "", quote=False),
            attachment=Attachment(material.kind, material.activity, file_id=material.file_id),
            about=material.about,
        )
    )


async def pressed_back(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Take one of them back: the family is shown it no more."""
    own = await _own(desk, therapist, argument)
    words = words_for(therapist.language)
    if own is None:
        await _say(desk, incoming, words("material.gone"), ())
        return
    material, family = own
    await materials.withdraw(desk.conn, material.id, desk.now)
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="material taken back",
        now=desk.now,
        family_id=family.id,
        detail=f"{material.id} {material.activity}",
    )
    await _list(desk, incoming, therapist, family, words("material.taken_back"))


async def _say(desk: Desk, incoming: Incoming, text: str, buttons: Buttons) -> None:
    """Say something about material: in place of the message whose button was pressed, else in a new one."""
    if incoming.press is not None and incoming.message_id is not None:
        pressed_under = await outbox.said_as(desk.conn, incoming.chat_id, incoming.message_id)
        if pressed_under is not None and pressed_under.about == "materials":
            await desk.say(Say(chat_id=incoming.chat_id, text=text, buttons=buttons, edits=pressed_under.id))
            return
    await desk.say(Say(chat_id=incoming.chat_id, text=text, buttons=buttons, about="materials"))
