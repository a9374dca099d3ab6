"""Sending a plan: what may be dangerous is stopped or asked about, then the draft becomes the family's next version.

Versions are kept for ever; an old one is brought back as a draft, and sent as a new version.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

from bot.domain.outgoing import Button, row
from bot.domain.plans import PlanVersion
from bot.features import verbs
from bot.features.buttons import mark_of
from bot.features.formats import actor_named
from bot.features.plan import buttons as choices
from bot.features.plan.checks import Finding
from bot.features.plan.draft import Act, Building, show_draft
from bot.features.plan.therapist_view import finding_shown, plan_text, what_changed
from bot.features.plan.versions import MOST_LISTED, put_in_force, version_lines, version_shown
from scheduling.plan import document_of


def stamp(building: Building, findings: tuple[Finding, ...]) -> str:
    """Return a short mark of the draft and of what was asked, so that "send it" counts for nothing else."""
    asked = [document_of(building.draft.plan), building.in_force.version, [repr(each) for each in findings]]
    return mark_of(json.dumps(asked, sort_keys=True))


def send_draft(building: Building, value: str) -> None:
    """Send the draft where nothing stands against it; else say what does."""
    _send(building, building.findings)


def take_step(building: Building) -> None:
    """Send a draft that takes a step which the plan itself names: how it fits was asked when that was written, so that
    only what may be dangerous is asked about."""
    _send(building, building.dangers)


def _send(building: Building, find: Callable[[], tuple[Finding, ...]]) -> None:
    words = building.words
    if not building.changed:
        show_draft(building)
        return
    findings = find()
    stops = [each for each in findings if each.level == "stop"]
    lines = [finding_shown(each, words, building.name_of) for each in findings]
    number = building.draft.id
    if stops:
        building.show(
            "\n".join([words("plan.stopped"), *lines]),
            (
                row(
                    choices.button(words.plain("plan.change_button"), number, "pick"),
                    *choices.back_row(number, words),
                ),
            ),
        )
        return
    if building.draft.base_version != building.in_force.version:
        made_by = actor_named(building.context, building.in_force.made_by, building.family, words)
        lines.append("❓ " + words("plan.newer", version=building.in_force.version, made_by=made_by))
    if lines:
        sure = choices.button(words.plain("plan.sure_button"), number, "sure", stamp(building, findings))
        building.show(
            "\n".join([words("plan.asked"), *lines]), (row(*choices.back_row(number, words), sure),)
        )
        return
    _put_in_force(building, findings)


def _sure(building: Building, value: str) -> None:
    """Send what was asked about, if it is still just that."""
    findings = building.findings()
    if any(each.level == "stop" for each in findings) or value != stamp(building, findings):
        send_draft(building, "")
    else:
        _put_in_force(building, findings)


def _put_in_force(building: Building, confirmed: tuple[Finding, ...]) -> None:
    context, draft, words = building.context, building.draft, building.words
    note = what_changed(draft.plan, building.in_force.plan, words, building.name_of)
    asked = ", ".join(f"{each.kind} {each.activity or ''}".strip() for each in confirmed)
    version = put_in_force(
        context,
        building.therapist,
        draft.family_id,
        draft.plan,
        note=note,
        beside=(f"; confirmed: {asked}" if asked else "")[:180],
    )
    context.uow.drafts.drop(draft.id)
    context.uow.chats.end_dialog(building.event.chat_id)
    undo = Button(words.plain("plan.undo_button"), verbs.PLAN_UNDO.data(building.family.id, version))
    building.show(
        words("plan.sent", nickname=building.family.nickname, version=version, note=note), (row(undo),)
    )


def _drop(building: Building, value: str) -> None:
    """Throw the draft away; the plan in force stays."""
    building.context.uow.drafts.drop(building.draft.id)
    building.context.uow.chats.end_dialog(building.event.chat_id)
    building.show(
        building.words("plan.dropped", nickname=building.family.nickname, version=building.in_force.version),
        (),
    )


def _versions(building: Building, value: str) -> None:
    """List the versions, the newest first, each to be looked at."""
    found = building.context.uow.plans.versions(building.family.id)
    words, number = building.words, building.draft.id
    lines = [words("plan.versions_title", nickname=building.family.nickname)]
    lines += version_lines(building.context, building.family, found, words)
    offered = [
        choices.button(words.plain("plan.version_button", version=each.version), number, "look", each.version)
        for each in reversed(found[-MOST_LISTED:])
    ]
    building.show("\n".join(lines), (*choices.in_rows(offered, 4), choices.back_row(number, words)))


def _version(building: Building, value: str) -> PlanVersion | None:
    found = building.context.uow.plans.versions(building.family.id)
    return next((each for each in found if str(each.version) == value), None)


def _look(building: Building, value: str) -> None:
    """Show an old version whole."""
    version = _version(building, value)
    if version is None:
        show_draft(building)
        return
    words, number = building.words, building.draft.id
    text = plan_text(version.plan, version.plan, words, building.name_of)
    buttons = [choices.back_row(number, words)]
    if version.version != building.in_force.version:
        bring = choices.button(words.plain("plan.bring_back_button"), number, "bring", version.version)
        buttons = [row(*buttons[0], bring)]
    shown = version_shown(building.context, building.family, version, words)
    building.show("\n".join([*shown, text]), tuple(buttons))


def _bring(building: Building, value: str) -> None:
    """Make an old version the draft. The baby's facts, and a hold of the arm, stay those of today's plan."""
    version = _version(building, value)
    if version is None:
        show_draft(building)
        return
    building.keep(
        replace(
            version.plan,
            baby=building.in_force.plan.baby,
            time_zone=building.in_force.plan.time_zone,
            arm_hold=building.in_force.plan.arm_hold,
        )
    )
    show_draft(building, said=[building.words("plan.brought_back", version=version.version)])


ACTS: dict[str, Act] = {
    "send": send_draft,
    "sure": _sure,
    "drop": _drop,
    "vers": _versions,
    "look": _look,
    "bring": _bring,
}
