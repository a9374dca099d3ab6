"""Sending a plan: what may be dangerous is stopped or asked about, then the draft becomes the family's next version.

Versions are kept for ever; an old one is brought back as a draft, and sent as a new version.
"""

from __future__ import annotations

import json
import zlib
from dataclasses import replace

from bot.conversation.plan import plan_buttons as choices
from bot.conversation.plan.plan_checks import Finding
from bot.conversation.plan.plan_draft import Act, Building, show_draft
from bot.conversation.plan.plan_lines import finding_shown, plan_text, what_changed
from bot.phrases import Words
from bot.records import audit, day, drafts, people
from bot.records.day import PlanVersion
from bot.say import row
from scheduling.plan import document_of

MOST_VERSIONS = 12  # listed, the newest first


def stamp(building: Building, findings: tuple[Finding, ...]) -> str:
    """Return a short mark of the draft and of what was asked, so that "send it" counts for nothing else."""
    asked = [document_of(building.draft.plan), building.in_force.version, [repr(each) for each in findings]]
    return f"{zlib.crc32(json.dumps(asked, sort_keys=True).encode()):08x}"


async def _send(building: Building, value: str) -> None:
    """Send the draft where nothing stands against it; else say what does."""
    words = building.words
    if not building.changed:
        await show_draft(building)
        return
    findings = building.findings()
    stops = [each for each in findings if each.level == "stop"]
    lines = [finding_shown(each, words, building.name_of) for each in findings]
    number = building.draft.id
    if stops:
        await building.show(
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
        made_by = await _maker(building, building.in_force)
        lines.append("❓ " + words("plan.newer", version=building.in_force.version, made_by=made_by))
    if lines:
        sure = choices.button(words.plain("plan.sure_button"), number, "sure", stamp(building, findings))
        await building.show(
            "\n".join([words("plan.asked"), *lines]), (row(*choices.back_row(number, words), sure),)
        )
        return
    await _put_in_force(building, findings)


async def _sure(building: Building, value: str) -> None:
    """Send what was asked about, if it is still just that."""
    findings = building.findings()
    if any(each.level == "stop" for each in findings) or value != stamp(building, findings):
        await _send(building, "")
    else:
        await _put_in_force(building, findings)


async def _put_in_force(building: Building, confirmed: tuple[Finding, ...]) -> None:
    desk, draft, words = building.desk, building.draft, building.words
    note = what_changed(draft.plan, building.in_force.plan, words, building.name_of)
    version = await day.add_plan(
        desk.conn,
        draft.family_id,
        document_of(draft.plan),
        made_by=building.therapist.id,
        now=desk.now,
        note=note,
    )
    await drafts.drop(desk.conn, draft.id)
    await people.set_step(desk.conn, building.incoming.chat_id, None)
    asked = ", ".join(f"{each.kind} {each.activity or ''}".strip() for each in confirmed)
    await audit.note(
        desk.conn,
        who=f"therapist:{building.therapist.id}",
        what="plan sent",
        now=desk.now,
        family_id=draft.family_id,
        detail=f"version {version}" + (f"; confirmed: {asked}" if asked else "")[:180],
    )
    await building.show(words("plan.sent", nickname=building.family.nickname, version=version, note=note), ())


async def _drop(building: Building, value: str) -> None:
    """Throw the draft away; the plan in force stays."""
    await drafts.drop(building.desk.conn, building.draft.id)
    await people.set_step(building.desk.conn, building.incoming.chat_id, None)
    await building.show(
        building.words("plan.dropped", nickname=building.family.nickname, version=building.in_force.version),
        (),
    )


async def _versions(building: Building, value: str) -> None:
    """List the versions, the newest first, each to be looked at."""
    found = (await day.plan_versions(building.desk.conn, building.family.id))[::-1]
    words, number = building.words, building.draft.id
    lines = [words("plan.versions_title", nickname=building.family.nickname)]
    lines += [await _version_line(building, each, words) for each in found[:MOST_VERSIONS]]
    offered = [
        choices.button(words.plain("plan.version_button", version=each.version), number, "look", each.version)
        for each in found[:MOST_VERSIONS]
    ]
    await building.show("\n".join(lines), (*choices.in_rows(offered, 4), choices.back_row(number, words)))


async def _version_line(building: Building, version: PlanVersion, words: Words) -> str:
    return words(
        "plan.version_line",
        version=version.version,
        day=f"{building.family.local(version.made_at):%Y-%m-%d}",
        made_by=await _maker(building, version),
        note=version.note or "",
    ).rstrip(" :")


async def _maker(building: Building, version: PlanVersion) -> str:
    """Return by name who made a version: a therapist, a carer of the family, or the caseload file."""
    said = (version.made_by or "file").rpartition(":")[2].rpartition("/")[2]
    therapist = await people.therapist(building.desk.conn, said)
    carer = await people.carer(building.desk.conn, building.family.id, said)
    found = therapist or carer
    return found.name if found else building.words.plain("plan.made_by_file")


async def _version(building: Building, value: str) -> PlanVersion | None:
    found = await day.plan_versions(building.desk.conn, building.family.id)
    return next((each for each in found if str(each.version) == value), None)


async def _look(building: Building, value: str) -> None:
    """Show an old version whole."""
    version = await _version(building, value)
    if version is None:
        await show_draft(building)
        return
    words, number = building.words, building.draft.id
    text = plan_text(version.plan, version.plan, words, building.name_of)
    buttons = [choices.back_row(number, words)]
    if version.version != building.in_force.version:
        bring = choices.button(words.plain("plan.bring_back_button"), number, "bring", version.version)
        buttons = [row(*buttons[0], bring)]
    await building.show(await _version_line(building, version, words) + "\n" + text, tuple(buttons))


async def _bring(building: Building, value: str) -> None:
    """Make an old version the draft. The baby's facts stay those of today's plan."""
    version = await _version(building, value)
    if version is None:
        await show_draft(building)
        return
    await building.keep(
        replace(version.plan, baby=building.in_force.plan.baby, time_zone=building.in_force.plan.time_zone)
    )
    await show_draft(building, said=[building.words("plan.brought_back", version=version.version)])


ACTS: dict[str, Act] = {
    "send": _send,
    "sure": _sure,
    "drop": _drop,
    "vers": _versions,
    "look": _look,
    "bring": _bring,
}
