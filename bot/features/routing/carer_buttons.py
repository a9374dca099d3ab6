"""What each button of a carer does, by the verb in its data."""

from __future__ import annotations

from bot.features import verbs
from bot.features.buttons import CarerPress, by_carer
from bot.features.concerns import handlers as concerns
from bot.features.enrolment import joining
from bot.features.entries import confidence, entry_buttons, reminder_buttons
from bot.features.privacy import rights
from bot.features.refreshers import refresher
from bot.features.reminders import duty, frequency
from bot.features.reminders import handlers as reminders
from bot.features.routing import several_babies, yes_no
from bot.features.schedule import dialog, travel
from bot.features.threads import how_is_baby, questions, shown_holds

BUTTONS: tuple[tuple[str, CarerPress], ...] = (
    by_carer(verbs.DONE, reminder_buttons.pressed_done),
    by_carer(verbs.MINUTES, reminder_buttons.pressed_minutes),
    by_carer(verbs.ALL_TIMES, reminder_buttons.pressed_all),
    by_carer(verbs.DID, reminder_buttons.pressed_did),
    by_carer(verbs.LATER, reminder_buttons.pressed_later),
    by_carer(verbs.ASLEEP, reminder_buttons.pressed_asleep),
    by_carer(verbs.NOT_NOW, reminder_buttons.pressed_not_now),
    by_carer(verbs.WHY, reminder_buttons.pressed_why),
    by_carer(verbs.BACK, reminder_buttons.pressed_back),
    by_carer(verbs.SHOW, reminder_buttons.pressed_show),
    by_carer(verbs.UNDO, entry_buttons.pressed_undo),
    by_carer(verbs.REDO, entry_buttons.pressed_redo),
    by_carer(verbs.CHANGE, entry_buttons.pressed_change),
    by_carer(verbs.CHANGE_ONE, entry_buttons.pressed_change_one),
    by_carer(verbs.SET, entry_buttons.pressed_set),
    by_carer(verbs.TIMES, entry_buttons.pressed_times),
    by_carer(verbs.SIDE, entry_buttons.pressed_side),
    by_carer(verbs.KEEP, entry_buttons.pressed_keep),
    by_carer(verbs.COUNT, entry_buttons.pressed_count),
    by_carer(verbs.DROP, entry_buttons.pressed_drop),
    by_carer(verbs.WHICH, entry_buttons.pressed_which),
    by_carer(verbs.SURE, confidence.pressed_sure),
    by_carer(verbs.MORE, refresher.pressed_more),
    by_carer(verbs.ASK, questions.pressed_ask),
    by_carer(verbs.AGAIN, questions.pressed_back),
    by_carer(verbs.HOW_IS, how_is_baby.pressed),
    by_carer(verbs.OPEN_ADVICE, concerns.pressed_open_advice),
    by_carer(verbs.AWAKE, reminders.pressed_awake),
    by_carer(verbs.LOAD, frequency.pressed_load),
    by_carer(verbs.WHO, joining.pressed_who),
    by_carer(verbs.CONSENT, joining.pressed_consent),
    by_carer(verbs.DAY_ASK, dialog.pressed_ask),
    by_carer(verbs.DAY_BACK, dialog.pressed_back),
    by_carer(verbs.DAY_PART, dialog.pressed_part),
    by_carer(verbs.ZONE_ASK, travel.pressed_zone_ask),
    by_carer(verbs.ZONE_HOME, travel.pressed_zone_home),
    by_carer(verbs.TRAVEL_TO, travel.pressed_to),
    by_carer(verbs.TRAVEL_HOME, travel.pressed_home),
    by_carer(verbs.HOLD, shown_holds.pressed_hold),
    by_carer(verbs.COME_BACK, rights.pressed_come_back),
    by_carer(verbs.DUTY, duty.pressed),
    by_carer(verbs.BABY, several_babies.pressed_baby),
    *yes_no.BUTTONS,  # those that words press too
)
PRESSED: dict[str, CarerPress] = dict(BUTTONS)
