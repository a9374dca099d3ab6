"""Teaching material: what a therapist shows of a hold, kept for one family and shown to that family alone.

A photo, clip or voice note becomes part of the refresher of one hold, once the therapist has said for whom, for which
hold, and that the family agreed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Literal, cast, get_args

from bot.domain.actor import Actor
from bot.domain.dialogs import DialogState
from bot.domain.ids import ChatId, FamilyId
from bot.domain.json_value import JsonValue
from bot.domain.media import MaterialKind
from bot.domain.names import speaks_of
from bot.domain.outgoing import Button, Buttons, MessageEdit, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_lookup import families_seen, family_by_ref
from bot.features.context import Context
from bot.features.events import ButtonPressed, Event, FileSent
from bot.parsing.plan_line.vocabulary import either, names_of
from bot.phrases import words_for
from bot.text import fold

KINDS: dict[str, MaterialKind] = {"photo": "picture", "video": "video", "voice": "voice"}
Asked = Literal["f", "a", "yes", "no"]
MOST_WAITING = 10  # files of one chat of which not all was said yet
MOST_FAMILIES = 90  # buttons under one message: 100 at most, by the messaging service
LONGEST_CAPTION = 700  # characters; the service takes 1024 with what we say around it


@dataclass(frozen=True, slots=True)
class Waiting:
    """A file of which not all is said yet. family, activity: their ids; None: not known."""

    kind: MaterialKind
    file_id: str
    caption: str | None
    family: FamilyId | None
    activity: str | None


def _waiting_from(kept: JsonValue) -> Waiting | None:
    """Return what `asdict` made of a waiting file; None where that is not what was kept."""
    if not isinstance(kept, Mapping):
        return None
    kind, file_id = kept.get("kind"), kept.get("file_id")
    if kind not in get_args(MaterialKind) or not isinstance(file_id, str):
        return None
    caption, family, activity = (
        value if isinstance(value := kept.get(name), str) else None
        for name in ("caption", "family", "activity")
    )
    return Waiting(cast(MaterialKind, kind), file_id, caption, FamilyId(family) if family else None, activity)


def received(context: Context, event: FileSent, therapist: Therapist) -> None:
    """Take a photo, clip or voice note of a therapist, and ask what its caption does not say."""
    said = fold(event.text)
    families = families_seen(context, therapist)
    waiting = Waiting(
        kind=KINDS[event.kind],
        file_id=event.file_id,
        caption=_shown_caption(context, event.text, families),
        family=_family_in(said, families),
        activity=_activity_in(said, names_of(context.library)),
    )
    _keep_waiting(context, event.chat_id, str(event.message_id), waiting)
    _ask_next(context, event, therapist, str(event.message_id), waiting)


def _family_in(said: str, families: list[Family]) -> FamilyId | None:
    if len(families) == 1:
        return families[0].id
    found = [each.id for each in families if speaks_of(said, each.nickname)]
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


def _shown_caption(context: Context, text: str, families: list[Family]) -> str | None:
    """Return what the family reads: the caption without the names before its first colon; none where it is names alone."""
    names = [*names_of(context.library), *(fold(each.nickname) for each in families)]

    def only_names(part: str) -> bool:
        return not re.search(r"\w", re.sub(rf"(?<!\w){either(names)}", " ", fold(part)))

    before, colon, after = text.partition(":")
    shown = after if colon and only_names(before) else text
    return None if only_names(shown) else shown.strip()[:LONGEST_CAPTION]


def _keep_waiting(context: Context, chat_id: ChatId, key: str, waiting: Waiting | None) -> None:
    """Note what is known of a file not yet kept (None: forget it). Whatever else the chat is about stays."""
    dialog = context.uow.chats.get(chat_id).dialog
    files = {name: value for name, value in _waiting_files(dialog).items() if name != key}
    if waiting is not None:
        files[key] = asdict(waiting)
    files = dict(list(files.items())[-MOST_WAITING:])
    context.uow.chats.keep_data(chat_id, {**dialog.data, "files": files})


def _waiting_files(dialog: DialogState) -> Mapping[str, JsonValue]:
    files = dialog.data.get("files")
    return files if isinstance(files, Mapping) else {}


def _ask_next(context: Context, event: Event, therapist: Therapist, key: str, waiting: Waiting) -> None:
    """Ask for whom, for which hold, and whether the family agreed: one at a time."""
    words = words_for(therapist.language)
    family = family_by_ref(context, therapist, waiting.family, discharged=False) if waiting.family else None
    no = Button(words.plain("material.no_button"), verbs.MEDIA.data(key, "no", None))
    if family is None:
        families = _by_name(families_seen(context, therapist))[:MOST_FAMILIES]
        offered = [Button(each.nickname[:24], verbs.MEDIA.data(key, "f", each.id)) for each in families]
        text = words("material.for_whom") if offered else words("therapist.no_families")
        say(context, event, text, (*_two_a_row(offered), row(no)))
    elif waiting.activity is None:
        plan = context.uow.plans.current(family.id)
        planned = [each.activity for each in plan.plan.activities] if plan else []
        others = [each for each in context.library if each not in planned]
        offered = [
            Button(context.library.name(each, therapist.language), verbs.MEDIA.data(key, "a", each))
            for each in [*planned, *others]
        ]
        say(
            context,
            event,
            words("material.which_hold", nickname=family.nickname),
            (*_two_a_row(offered[:MOST_FAMILIES]), row(no)),
        )
    else:
        hold = context.library.in_sentence(waiting.activity, therapist.language)
        lines = [words("material.agreed_question", nickname=family.nickname, activity=hold)]
        if waiting.caption:
            lines.append(words("material.caption", caption=waiting.caption))
        yes = Button(words.plain("material.yes_button"), verbs.MEDIA.data(key, "yes", None))
        say(context, event, "\n".join(lines), (row(yes), row(no)))


def _by_name(families: list[Family]) -> list[Family]:
    return sorted(families, key=lambda family: family.nickname.casefold())


def _two_a_row(buttons: list[Button]) -> Buttons:
    return tuple(tuple(buttons[place : place + 2]) for place in range(0, len(buttons), 2))


def pressed(
    context: Context, event: Event, therapist: Therapist, key: str, op: Asked, value: str | None
) -> None:
    """Do what a button under a file's question says: "f" with a family, "a" with an activity, "yes", "no"."""
    words = words_for(therapist.language)
    waiting = _waiting_from(_waiting_files(context.uow.chats.get(event.chat_id).dialog).get(key))
    if waiting is None:
        say(context, event, words("material.send_again"), ())
        return
    if op == "no":
        _keep_waiting(context, event.chat_id, key, None)
        say(context, event, words("material.not_kept"), ())
        return
    if op == "yes":
        _keep(context, event, therapist, key, waiting)
        return
    value = value or ""
    family = family_by_ref(context, therapist, value, discharged=False) if op == "f" else None
    if family is not None:
        waiting = replace(waiting, family=family.id)
    elif op == "a" and value in context.library:
        waiting = replace(waiting, activity=value)
    _keep_waiting(context, event.chat_id, key, waiting)
    _ask_next(context, event, therapist, key, waiting)


def _keep(context: Context, event: Event, therapist: Therapist, key: str, waiting: Waiting) -> None:
    family = family_by_ref(context, therapist, waiting.family, discharged=False) if waiting.family else None
    if family is None or waiting.activity is None:
        _ask_next(context, event, therapist, key, waiting)
        return
    number = context.uow.media.add(
        family_id=family.id,
        activity=waiting.activity,
        kind=waiting.kind,
        file_id=waiting.file_id,
        caption=waiting.caption,
        added_by=therapist.id,
        now=context.now,
    )
    _keep_waiting(context, event.chat_id, key, None)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="material kept, family agreed",
        now=context.now,
        family_id=family.id,
        detail=f"{number} {waiting.activity}",
    )
    words = words_for(therapist.language)
    hold = context.library.in_sentence(waiting.activity, therapist.language)
    say(context, event, words("material.kept", nickname=family.nickname, activity=hold), ())


# ---------------------------------------------------------------- listing, showing, taking back


def say(context: Context, event: Event, text: str, buttons: Buttons) -> None:
    """Say something about material: in place of the message whose button was pressed, else in a new one."""
    if isinstance(event, ButtonPressed):
        pressed_under = context.uow.outbox.said_as(event.chat_id, event.message_id)
        if pressed_under is not None and pressed_under.about == Subject("materials"):
            context.say(
                MessageEdit(chat_id=event.chat_id, text=text, buttons=buttons, edits=pressed_under.id)
            )
            return
    context.say(
        OutgoingMessage(chat_id=event.chat_id, text=text, buttons=buttons, about=Subject("materials"))
    )
