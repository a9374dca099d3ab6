"""Changing one activity of a draft, or its day rules, by buttons."""

from __future__ import annotations

import html
from collections.abc import Sequence

from bot.activities.card import review_line, reviews_of
from bot.features.plan import buttons as choices
from bot.features.plan.draft import Act, Building, change, show_draft
from bot.features.plan.templates import starting_values
from bot.features.plan.therapist_view import activity_line, note_shown, shape_lines
from scheduling.plan.edits import ActivityChange, Removal


def _add(building: Building, value: str) -> None:
    """Offer the activities that the draft does not hold."""
    offered = [
        activity for activity in building.context.library if building.draft.plan.activity(activity) is None
    ]
    _choose(building, "plan.which_add", "new", offered)


def _choose(building: Building, question: str, op: str, offered: Sequence[str]) -> None:
    """Offer activities by name, and say which of them a licensed therapist has reviewed."""
    library = building.context.library
    known = [library[activity] for activity in offered if activity in library]
    buttons = [
        choices.button(building.name_of(activity), building.draft.id, op, activity) for activity in offered
    ]
    building.show(
        f"{building.words(question)}\n{reviews_of(known, building.words)}",
        (*choices.in_rows(buttons, 2), choices.back_row(building.draft.id, building.words)),
    )


def _new(building: Building, activity: str) -> None:
    """Add an activity with its starting values; one without any needs its dose typed."""
    if activity not in building.context.library:
        return
    if activity not in starting_values():
        name = html.escape(building.name_of(activity), quote=False)
        review = review_line(building.context.library[activity].review, building.words)
        building.show(
            f"{building.words('plan.type_dose', activity=name.lower())}\n<i>{review}</i>",
            (
                (choices.about_button(activity, building.words),),
                choices.back_row(building.draft.id, building.words),
            ),
        )
        return
    change(building, [ActivityChange(activity=activity)])
    _edit(building, activity)


def _pick(building: Building, value: str) -> None:
    """Offer the activities that the draft holds."""
    _choose(building, "plan.which_change", "edit", [each.activity for each in building.draft.plan.activities])


def _edit(building: Building, activity: str) -> None:
    """Show one activity with the buttons of its fields."""
    found = building.draft.plan.activity(activity)
    if found is None:
        show_draft(building)
        return
    known = building.context.library.get(activity)
    lines = [activity_line(found, building.name_of(activity), building.words)]
    if known is not None:
        lines.append(f"<i>{review_line(known.review, building.words)}</i>")
    building.show(
        "\n".join([*lines, building.words("plan.type_line")]),
        choices.activity_buttons(
            building.draft.id, found, building.words, sided=known is None or known.side != "none"
        ),
    )


def _field(building: Building, value: str) -> None:
    activity, _, letter = value.rpartition(":")
    found = building.draft.plan.activity(activity)
    if found is None or letter not in choices.FIELDS:
        show_draft(building)
        return
    line = activity_line(found, building.name_of(activity), building.words)
    building.show(
        line + "\n" + building.words(f"plan.ask_{choices.FIELDS[letter]}"),
        choices.choice_buttons(building.draft.id, found, letter, building.draft.plan, building.words),
    )


def _set(building: Building, value: str) -> None:
    activity, _, rest = value.partition(":")
    letter, _, choice = rest.partition(":")
    found = building.draft.plan.activity(activity)
    made = choices.chosen(found, letter, choice, building.today) if found else None
    if made is None:
        show_draft(building)
        return
    notes = change(building, [made])
    if notes:
        said = [note_shown(note, building.words, building.name_of) for note in notes]
        show_draft(building, said=said)
    elif letter == "m":
        _field(building, f"{activity}:m")
    else:
        _edit(building, activity)


def _gone(building: Building, activity: str) -> None:
    change(building, [Removal(activity)])
    show_draft(building)


def _rules(building: Building, value: str) -> None:
    building.show(
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
    def act(building: Building, value: str) -> None:
        made = choices.rule_chosen(op, value)
        if made is not None:
            change(building, [made])
        _rules(building, "")

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
