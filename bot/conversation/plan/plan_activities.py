"""Changing one activity of a draft, or its day rules, by buttons."""

from __future__ import annotations

import html

from bot.conversation.plan import plan_buttons as choices
from bot.conversation.plan.plan_changes import ActivityChange, Removal
from bot.conversation.plan.plan_draft import Act, Building, change, show_draft
from bot.conversation.plan.plan_lines import activity_line, note_shown, shape_lines
from bot.conversation.plan.plan_templates import starting_values


async def _add(building: Building, value: str) -> None:
    """Offer the activities that the draft does not hold."""
    offered = [
        choices.button(building.name_of(activity), building.draft.id, "new", activity)
        for activity in building.desk.library
        if building.draft.plan.activity(activity) is None
    ]
    await building.show(
        building.words("plan.which_add"),
        (*choices.in_rows(offered, 2), choices.back_row(building.draft.id, building.words)),
    )


async def _new(building: Building, activity: str) -> None:
    """Add an activity with its starting values; one without any needs its dose typed."""
    if activity not in building.desk.library:
        return
    if activity not in starting_values():
        name = html.escape(building.name_of(activity), quote=False)
        await building.show(
            building.words("plan.type_dose", activity=name.lower()),
            (choices.back_row(building.draft.id, building.words),),
        )
        return
    await change(building, [ActivityChange(activity=activity)])
    await _edit(building, activity)


async def _pick(building: Building, value: str) -> None:
    """Offer the activities that the draft holds."""
    offered = [
        choices.button(building.name_of(each.activity), building.draft.id, "edit", each.activity)
        for each in building.draft.plan.activities
    ]
    await building.show(
        building.words("plan.which_change"),
        (*choices.in_rows(offered, 2), choices.back_row(building.draft.id, building.words)),
    )


async def _edit(building: Building, activity: str) -> None:
    """Show one activity with the buttons of its fields."""
    found = building.draft.plan.activity(activity)
    if found is None:
        await show_draft(building)
        return
    known = building.desk.library.get(activity)
    line = activity_line(found, building.name_of(activity), building.words)
    await building.show(
        line + "\n" + building.words("plan.type_line"),
        choices.activity_buttons(
            building.draft.id, found, building.words, sided=known is None or known.side != "none"
        ),
    )


async def _field(building: Building, value: str) -> None:
    activity, _, letter = value.rpartition(":")
    found = building.draft.plan.activity(activity)
    if found is None or letter not in choices.FIELDS:
        await show_draft(building)
        return
    line = activity_line(found, building.name_of(activity), building.words)
    await building.show(
        line + "\n" + building.words(f"plan.ask_{choices.FIELDS[letter]}"),
        choices.choice_buttons(building.draft.id, found, letter, building.draft.plan, building.words),
    )


async def _set(building: Building, value: str) -> None:
    activity, _, rest = value.partition(":")
    letter, _, choice = rest.partition(":")
    found = building.draft.plan.activity(activity)
    made = choices.chosen(found, letter, choice, building.today) if found else None
    if made is None:
        await show_draft(building)
        return
    notes = await change(building, [made])
    if notes:
        said = [note_shown(note, building.words, building.name_of) for note in notes]
        await show_draft(building, said=said)
    elif letter == "m":
        await _field(building, f"{activity}:m")
    else:
        await _edit(building, activity)


async def _gone(building: Building, activity: str) -> None:
    await change(building, [Removal(activity)])
    await show_draft(building)


async def _rules(building: Building, value: str) -> None:
    await building.show(
        "\n".join(
            [
                *shape_lines(building.draft.plan, building.words),
                building.words("plan.ask_rules"),
                building.words("plan.type_rules"),
            ]
        ),
        choices.rules_buttons(building.draft.id, building.draft.plan, building.words),
    )


def _rule(op: str) -> Act:
    async def act(building: Building, value: str) -> None:
        made = choices.rule_chosen(op, value)
        if made is not None:
            await change(building, [made])
        await _rules(building, "")

    return act


ACTS: dict[str, Act] = {
    "add": _add,
    "new": _new,
    "pick": _pick,
    "edit": _edit,
    "f": _field,
    "s": _set,
    "gone": _gone,
    "rules": _rules,
    "most": _rule("most"),
    "gap": _rule("gap"),
}
