"""Every verb of a button, with the arguments that its buttons carry.

A verb stays as it is once it went out: buttons of old messages are pressed for as long as the messages stand.
"""

from __future__ import annotations

from typing import Any, Literal

from bot.features import buttons
from bot.features.buttons import (
    AMOUNT,
    ASKED_COUNT,
    CARER,
    CONCERN,
    DAY,
    ENTRY,
    FAMILY,
    MESSAGE,
    NUMBER,
    QUESTION,
    REMINDER,
    SPAN,
    TEXT,
    THERAPIST,
    WORD,
    Argument,
    Verb,
    one_of,
    optional,
    verb,
)
from bot.parsing.schedule import PARTS

DUTIES: Argument[Literal["me", "to", "off"]] = one_of("me", "to", "off")
WEEKEND_PARTS: Argument[Literal["mornings", "none"]] = one_of("mornings", "none")
GROUPS: Argument[Literal["active", "paused", "discharged"]] = one_of("active", "paused", "discharged")
SAID_OF_FILE: Argument[Literal["f", "a", "yes", "no"]] = one_of("f", "a", "yes", "no")

# A reminder: its number.
DONE = verb("done", REMINDER)
MINUTES = verb("mins", REMINDER)
DID = verb("did", REMINDER, AMOUNT)  # minutes
ALL_TIMES = verb("alltimes", REMINDER)  # of what is counted by times
LATER = verb("later", REMINDER)
ASLEEP = verb("asleep", REMINDER)
NOT_NOW = verb("notnow", REMINDER)
WHY = verb("why", REMINDER, WORD)  # the reason for a skip
BACK = verb("back", REMINDER)
SHOW = verb("show", REMINDER)

# A log entry: its number.
UNDO = verb("undo", ENTRY)
REDO = verb("redo", ENTRY)
CHANGE = verb("change", ENTRY)
CHANGE_ONE = verb("changeone", ENTRY)
SET = verb("set", ENTRY, AMOUNT)  # minutes
TIMES = verb("times", ENTRY, AMOUNT)  # of its activity on its day, in all
SIDE = verb("side", ENTRY, WORD)
KEEP = verb("keep", ENTRY)
COUNT = verb("count", ENTRY)
DROP = verb("drop", ENTRY)
WHICH = verb("which", ENTRY, WORD)  # an activity
ONE = verb("one", ENTRY)
TWO = verb("two", ENTRY)

# A question of ours: its number.
SURE = verb("sure", QUESTION, AMOUNT)  # 0 to 10
NOT_TELL = verb("nottell", QUESTION)
AGAIN = verb("again", buttons.ANSWER)  # what a therapist wrote
IS_CONCERN = verb("isconcern", CONCERN)
NO_CONCERN = verb("noconcern", CONCERN)
HOW_IS = verb("howis", CONCERN, one_of("better", "same", "worse"))  # a concern
OPEN_ADVICE = verb("openadvice", CONCERN)

# An activity.
HOW = verb("how", WORD)
MORE = verb("more", WORD, optional(WORD))  # the side
ASK = verb("ask", WORD)
HOLD = verb("hold", QUESTION, WORD)  # a question with a file, and the activity that it shows

# What a carer wants of the bot.
AWAKE = verb("awake")
PAUSE = verb("pause", ASKED_COUNT)  # days, or "ask"
PAUSE_NO = verb("pauseno")
RESUME = verb("resume")
LOAD = verb("load", one_of("fewer", "more"))
REMINDERS_BACK = verb("remindersback")
LEAVE = verb("leave")
STAY = verb("stay")
COME_BACK = verb("comeback")
HOURS_ANY = verb("hoursany")
WEEKENDS = verb("weekends", WEEKEND_PARTS)
LEARNED = verb("learned", NUMBER, one_of("yes", "no", "other"))  # a suggestion
MY_TIMES = verb("mytimes", one_of("keep", "learn"))
RIGHTS = verb("rights", one_of("copy", "erase", "erase:sure", "all", "all:sure", "keep"))
WHO = verb("who", WORD)  # a role, or "language"
CONSENT = verb("consent", one_of("yes", "no", "language"))
DUTY = verb("duty", DUTIES, optional(CARER))
BABY = verb("baby", MESSAGE, WORD)  # a kept message, and a family or all

# The family's day and place.
DAY_RIGHT = verb("shape:ok")
DAY_CHANGE = verb("shape:change")
DAY_ASK = verb("shape:ask", one_of(*PARTS))
DAY_APPLY = verb("shape:apply")
DAY_NO = verb("shape:no")
DAY_BACK = verb("shape:back", NUMBER)  # a version of the plan
DAY_PART = verb("shape", one_of(*PARTS), buttons.DAY_PART)
ZONE_ASK = verb("zone:ask")
ZONE_HOME = verb("zone:home", WORD)
TRAVEL_GO = verb("travel:go", DAY, WORD)  # the last day there, and the zone
TRAVEL_TO = verb("travel:to", WORD)
TRAVEL_HOME = verb("travel:home")
TRAVEL_NO = verb("travel:no")

# A concern or a question that a therapist has: its number.
SEEN = verb("seen", CONCERN, optional(CONCERN))  # with those up to a number that the same message shows
CALLED = verb("called", CONCERN, optional(CONCERN))
WRONG = verb("wrong", CONCERN)
GO_ON = verb("goon", CONCERN)
ADVICE = verb("advice", CONCERN)
ANSWER = verb("answer", CONCERN)
REPLY = verb("reply", QUESTION)
SHORT_CONCERN = verb("short", CONCERN)  # the short answers to it
SHORT_QUESTION = verb("shortq", QUESTION)
SEND_SHORT_CONCERN = verb("sendshort", CONCERN, WORD)  # and the name of the text
SEND_SHORT_QUESTION = verb("sendshortq", QUESTION, WORD)

# A family of the caseload.
WRITE = verb("write", FAMILY)
NUMBERS = verb("numbers", FAMILY)
TAUGHT_LIST = verb("taughtlist", FAMILY)
TAUGHT = verb("taught", FAMILY, WORD, WORD)  # marks of a carer and of an activity
FAMILIES = verb("fams", GROUPS, AMOUNT, TEXT)  # a page, and the words sought
ALL_FAMILIES = verb("allfams")
CARD = verb("fam", FAMILY)
OPEN = verb("open", FAMILY)
PLAN_SHOW = verb("planshow", FAMILY)
PLAN = verb("plan", FAMILY)
PLAN_DRAFT = verb("pd", NUMBER, WORD, TEXT)  # a draft, what to do with it, and with what
ARM_GOES_ON = verb("armgoeson", FAMILY, DAY)  # the date that the hold was set to
ARM_RESTS_ON = verb("armrestson", FAMILY, DAY)
PLAN_UNDO = verb("planundo", FAMILY, NUMBER)  # a version just sent
NEXT_STEP = verb("nextstep", FAMILY, WORD)  # an activity whose next step is taken
GROUP = verb("group", FAMILY)
AUDIT = verb("audit", FAMILY, optional(NUMBER))  # only acts before this one
INVITE = verb("invite", FAMILY)
INVITE_ROLE = verb("inviterole", FAMILY, WORD)
INVITE_AGAIN = verb("inviteagain", CARER)
INVITE_OTHER = verb("inviteother")  # of the same name as somebody who is there
INVITE_IN_OTHER = verb("invitelang", FAMILY, CARER)  # in the other language
INVITE_COLLEAGUE = verb("invitecolleague")
NEW_FAMILY = verb("newfamily")
NEW_FAMILY_ANSWER = verb("nf", one_of("side", "zone", "gestation", "make", "again"), optional(WORD))
DISCHARGE = verb("dis", FAMILY)
DISCHARGE_SURE = verb("dissure", FAMILY)
DISCHARGE_NOW = verb("disnow", FAMILY)
DISCHARGE_NO = verb("disno", FAMILY)
DISCHARGE_BACK = verb("disback", FAMILY)

# Colleagues.
REMOVE = verb("remove", FAMILY)
REMOVE_CARER = verb("removecarer", FAMILY, CARER)
REMOVE_SURE = verb("removesure", FAMILY, CARER)
REMOVE_NO = verb("removeno", FAMILY)
HANDOVER = verb("handover", FAMILY)
HANDOVER_TO = verb("ho", THERAPIST)
HANDOVER_YES = verb("hoyes", NUMBER)
HANDOVER_NO = verb("hono", NUMBER)
COVER = verb("cover", THERAPIST)
COVER_DAYS = verb("coverdays", THERAPIST, AMOUNT)
COVER_END = verb("coverend")
COVER_NO = verb("coverno", THERAPIST)
COVER_DIGEST = verb("coverdigest", THERAPIST)
COVER_DOCUMENT = verb("coverpdf", THERAPIST)
QUIET_OFF = verb("quietoff")

# Photos, clips and voice notes, and the cards.
MEDIA = verb("mat", WORD, SAID_OF_FILE, optional(WORD))  # a message, and a family or an activity
MEDIA_LIST = verb("matlist", FAMILY)
MEDIA_SHOW = verb("matshow", NUMBER)
MEDIA_BACK = verb("matback", NUMBER)
HOWTO = verb("howto", WORD)

# What the records show of a time.
PAGE = verb("page", SPAN, FAMILY)
NOTE = verb("note", SPAN, FAMILY)
TABLE = verb("csv", SPAN, FAMILY)
RECORD = verb("fhir", SPAN, FAMILY)
VISITS = verb("ics", FAMILY)
FROM = verb("from", SPAN, FAMILY)
TRACE = verb("trace", SPAN, WORD, FAMILY)  # a figure
DOCUMENT = verb("pdf", SPAN, optional(FAMILY))
GRADE = verb("grade", FAMILY)
UNGRADE = verb("ungrade", NUMBER, FAMILY)
UNVISIT = verb("unvisit", NUMBER, FAMILY)
HANDOUT = verb("sheet", FAMILY)
GIVE_HANDOUT = verb("givesheet", FAMILY)

VERBS: dict[str, Verb[Any]] = {
    value.name: value for value in list(globals().values()) if isinstance(value, Verb)
}


def pressed(data: str) -> tuple[str, tuple[object, ...]] | None:
    """Return the name of the verb in a button's data and its arguments as values.

    None where there is no such verb, or the arguments are none of its own.
    """
    first, _, rest = data.partition(":")
    second, _, deeper = rest.partition(":")
    for name, text in ((f"{first}:{second}", deeper), (first, rest)):
        found = VERBS.get(name)
        if found is not None:
            args = found.read(text)
            return None if args is None else (name, args)
    return None
