"""The buttons of plan building: what can be chosen of an activity, and what each choice means.

Data of a button: "pd:DRAFT:OP:…", the draft's number first, so that an old button never reaches another family's plan.
A choice is "s:ACTIVITY:FIELD:VALUE", kept short, since a button holds 64 bytes and an id may have 40.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.phrases import Words
from scheduling.plan import Activity, MinutesADay, MomentName, Plan, Ratio, ShareOfAwake, SideRule
from scheduling.plan.edits import ActivityChange, DayChange

FIELDS = {"t": "target", "n": "session", "s": "side", "a": "after_feed", "g": "own_gap", "m": "moments", "d": "dates"}  # fmt: skip
TARGETS = ("5", "10", "15", "20", "30", "40", "60", "half")
SESSIONS = ("2-3", "3-5", "5-5", "5-10", "10-10", "10-15")
SIDES: dict[str, SideRule] = {
    "none": "none",
    "turn": "alternate",
    "weak": "affected",
    "strong": "unaffected",
    "2to1": Ratio(2, 1),
    "1to2": Ratio(1, 2),
}
AFTER_FEED = ("0", "20", "30", "45", "60")
OWN_GAPS = ("0", "60", "90", "120", "180")
MOMENTS: tuple[MomentName, ...] = ("nappy", "dressing", "bath", "play", "carry", "bedtime")
DATES = ("tom", "mon", "in2", "in4", "for2", "for4", "open")
MOST_PROMPTS = (2, 3, 4, 5, 6, 7, 8)
GAPS = (20, 30, 45, 60, 90)


def button(label: str, draft: int, op: str, *parts: str | int) -> Button:
    return Button(label[:24], verbs.PLAN_DRAFT.data(draft, op, ":".join(map(str, parts))))


def in_rows(buttons: Sequence[Button], width: int) -> Buttons:
    return tuple(tuple(buttons[place : place + width]) for place in range(0, len(buttons), width))


def draft_buttons(draft: int, words: Words, *, changed: bool) -> Buttons:
    """Return what can be done with the whole draft; sending and throwing away only where something is new."""
    rows: list[tuple[Button, ...]] = [
        row(
            button(words.plain("plan.add_button"), draft, "add"),
            button(words.plain("plan.change_button"), draft, "pick"),
        ),
        row(
            button(words.plain("plan.see_button"), draft, "day"),
            button(words.plain("plan.rules_button"), draft, "rules"),
        ),
        row(
            button(words.plain("plan.over_button"), draft, "over"),
            button(words.plain("plan.versions_button"), draft, "vers"),
        ),
    ]
    if changed:
        rows.append(
            row(
                button(words.plain("plan.drop_button"), draft, "drop"),
                button(words.plain("plan.send_button"), draft, "send"),
            )
        )
    return tuple(rows)


def change_buttons(draft: int, words: Words) -> Buttons:
    """Return what can be done with a draft of which only the changes are shown."""
    return (
        row(
            button(words.plain("plan.whole_button"), draft, "show"),
            button(words.plain("plan.see_button"), draft, "day"),
        ),
        row(
            button(words.plain("plan.drop_button"), draft, "drop"),
            button(words.plain("plan.send_button"), draft, "send"),
        ),
    )


def back_row(draft: int, words: Words) -> tuple[Button, ...]:
    return row(button(words.plain("plan.back_button"), draft, "show"))


def activity_buttons(draft: int, activity: Activity, words: Words, *, sided: bool) -> Buttons:
    """Return the fields of one activity, sides only where it has any, and what to weigh before it is chosen."""
    letters = [letter for letter in FIELDS if letter != "s" or sided]
    fields = [
        button(words.plain(f"plan.field_{FIELDS[letter]}"), draft, "f", activity.activity, letter)
        for letter in letters
    ]
    remove = button(words.plain("plan.remove_button"), draft, "gone", activity.activity)
    return (
        *in_rows(fields, 2),
        row(about_button(activity.activity, words)),
        row(remove, *back_row(draft, words)),
    )


def about_button(activity: str, words: Words) -> Button:
    """Return the way to the therapist's card: when an activity fits, usual mistakes, sources, the review."""
    return Button(words.plain("plan.about_button"), verbs.HOWTO.data(activity))


def choice_buttons(draft: int, activity: Activity, letter: str, plan: Plan, words: Words) -> Buttons:
    """Return the values that one field offers; anything else can be typed."""

    def choice(label: str, value: str) -> Button:
        return button(label, draft, "s", activity.activity, letter, value)

    match letter:
        case "t":
            offered = [choice(_target_label(value, words), value) for value in TARGETS]
        case "n":
            offered = [
                choice(words.plain("plan.choice_min", n=_span_label(value)), value) for value in SESSIONS
            ]
        case "s":
            both = plan.baby.affected_side == "both"
            values = [value for value in SIDES if not both or value in ("none", "turn")]
            offered = [choice(words.plain(f"plan.choice_side_{value}"), value) for value in values]
        case "a":
            offered = [choice(words.plain("plan.choice_min", n=value), value) for value in AFTER_FEED]
        case "g":
            offered = [choice(words.plain("plan.choice_min", n=value), value) for value in OWN_GAPS]
        case "m":
            offered = [
                choice(("✓ " if moment in (activity.moments or ()) else "") + words.plain(f"plan.moment_{moment}").capitalize(), moment)
                for moment in MOMENTS
            ]  # fmt: skip
            offered.append(choice(words.plain("plan.choice_any_time"), "any"))
        case _:
            offered = [choice(words.plain(f"plan.choice_date_{value}"), value) for value in DATES]
    back = button(words.plain("plan.back_button"), draft, "edit", activity.activity)
    return (*in_rows(offered, 3 if letter in "tnag" else 2), row(back))


def _target_label(value: str, words: Words) -> str:
    return words.plain("plan.choice_half") if value == "half" else words.plain("plan.choice_min", n=value)


def _span_label(value: str) -> str:
    least, most = value.split("-")
    return least if least == most else value


def chosen(activity: Activity, letter: str, value: str, today: date) -> ActivityChange | None:
    """Return the change that a pressed value stands for; None for one that this program never offered."""
    name = activity.activity
    match letter:
        case "t" if value in TARGETS:
            target = ShareOfAwake(0.5) if value == "half" else MinutesADay(float(value))
            return ActivityChange(activity=name, target=target)
        case "n" if value in SESSIONS:
            least, most = map(int, value.split("-"))
            return ActivityChange(activity=name, session=(least, most))
        case "s" if value in SIDES:
            return ActivityChange(activity=name, side=SIDES[value])
        case "a" if value in AFTER_FEED:
            return ActivityChange(activity=name, after_feed=int(value))
        case "g" if value in OWN_GAPS:
            return ActivityChange(activity=name, own_gap=int(value))
        case "m" if value == "any":
            return ActivityChange(activity=name, any_time=True)
        case "m" if value in MOMENTS:
            now = activity.moments or ()
            kept = tuple(each for each in MOMENTS if (each in now) != (each == value))
            return ActivityChange(activity=name, moments=kept) if kept else ActivityChange(activity=name, any_time=True)  # fmt: skip
        case "d" if value in DATES:
            return _dated(name, value, today)
    return None


def _dated(name: str, value: str, today: date) -> ActivityChange:
    match value:
        case "tom":
            return ActivityChange(activity=name, from_=today + timedelta(days=1))
        case "mon":
            return ActivityChange(activity=name, from_=today + timedelta(days=7 - today.weekday()))
        case "in2" | "in4":
            return ActivityChange(activity=name, from_=today + timedelta(weeks=int(value[2])))
        case "for2" | "for4":
            return ActivityChange(activity=name, until=today + timedelta(weeks=int(value[3]), days=-1))
        case _:
            return ActivityChange(activity=name, open_dates=True)


def rules_buttons(draft: int, plan: Plan, words: Words) -> Buttons:
    """Return the most prompts of a day and their gap, the present ones marked."""
    most = [
        button(("✓ " if number == plan.most_prompts else "") + words.plain("plan.choice_a_day", n=number), draft, "most", number)
        for number in MOST_PROMPTS
    ]  # fmt: skip
    gaps = [
        button(("✓ " if gap == plan.shortest_gap else "") + words.plain("plan.choice_apart", n=gap), draft, "gap", gap)
        for gap in GAPS
    ]  # fmt: skip
    return (*in_rows(most, 3), *in_rows(gaps, 3), back_row(draft, words))


def rule_chosen(op: str, value: str) -> DayChange | None:
    """Return the change that a pressed rule stands for; None for one that this program never offered."""
    offered = {str(number): number for number in (MOST_PROMPTS if op == "most" else GAPS)}
    number = offered.get(value)
    if number is None:
        return None
    return DayChange(most_prompts=number) if op == "most" else DayChange(shortest_gap=number)
