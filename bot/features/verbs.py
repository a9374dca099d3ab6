"""Every verb of a button, with the arguments that its buttons carry.

A verb stays as it is once it went out: buttons of old messages are pressed for as long as the messages stand.
"""

from __future__ import annotations

from typing import Any, Literal

from bot.features import buttons
from bot.features.buttons import (
    ASKED_NUMBER,
    DAY,
    FAMILY,
    NUMBER,
    SPAN,
    TEXT,
    WORD,
    Argument,
    Verb,
    one_of,
    optional,
    verb,
)
from bot.parsing.schedule import PARTS

DUTIES: Argument[Literal["me", "to", "off"]] = one_of("me", "to", "off")
GROUPS: Argument[Literal["active", "paused", "discharged"]] = one_of("active", "paused", "discharged")
SAID_OF_FILE: Argument[Literal["f", "a", "yes", "no"]] = one_of("f", "a", "yes", "no")

# A reminder: its number.
DONE = verb("done", NUMBER)
MINUTES = verb("mins", NUMBER)
DID = verb("did", NUMBER, NUMBER)  # minutes
LATER = verb("later", NUMBER)
ASLEEP = verb("asleep", NUMBER)
NOT_NOW = verb("notnow", NUMBER)
WHY = verb("why", NUMBER, WORD)  # the reason for a skip
BACK = verb("back", NUMBER)
SHOW = verb("show", NUMBER)

# A log entry: its number.
UNDO = verb("undo", NUMBER)
REDO = verb("redo", NUMBER)
CHANGE = verb("change", NUMBER)
CHANGE_ONE = verb("changeone", NUMBER)
SET = verb("set", NUMBER, NUMBER)  # minutes
SIDE = verb("side", NUMBER, WORD)
KEEP = verb("keep", NUMBER)
COUNT = verb("count", NUMBER)
DROP = verb("drop", NUMBER)
WHICH = verb("which", NUMBER, WORD)  # an activity
ONE = verb("one", NUMBER)
TWO = verb("two", NUMBER)

# A question of ours: its number.
SURE = verb("sure", NUMBER, NUMBER)  # 0 to 10
NOT_TELL = verb("nottell", NUMBER)
AGAIN = verb("again", NUMBER)
IS_CONCERN = verb("isconcern", NUMBER)
NO_CONCERN = verb("noconcern", NUMBER)
HOW_IS = verb("howis", NUMBER, one_of("better", "same", "worse"))  # a concern
OPEN_ADVICE = verb("openadvice", NUMBER)

# An activity.
HOW = verb("how", WORD)
MORE = verb("more", WORD, optional(WORD))  # the side
ASK = verb("ask", WORD)
HOLD = verb("hold", NUMBER, WORD)  # a question with a file, and the activity that it shows

# What a carer wants of the bot.
AWAKE = verb("awake")
PAUSE = verb("pause", ASKED_NUMBER)  # days, or "ask"
RESUME = verb("resume")
LOAD = verb("load", one_of("fewer", "more"))
REMINDERS_BACK = verb("remindersback")
LEAVE = verb("leave")
STAY = verb("stay")
COME_BACK = verb("comeback")
HOURS_ANY = verb("hoursany")
LEARNED = verb("learned", NUMBER, one_of("yes", "no", "other"))  # a suggestion
MY_TIMES = verb("mytimes", one_of("keep", "learn"))
RIGHTS = verb("rights", one_of("copy", "erase", "erase:sure", "all", "all:sure", "keep"))
WHO = verb("who", WORD)  # a role, or "language"
CONSENT = verb("consent", one_of("yes", "no", "language"))
DUTY = verb("duty", DUTIES, optional(WORD))  # a carer
BABY = verb("baby", NUMBER, WORD)  # a kept message, and a family or all

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
SEEN = verb("seen", NUMBER, optional(NUMBER))  # with those up to a number that the same message shows
CALLED = verb("called", NUMBER, optional(NUMBER))
WRONG = verb("wrong", NUMBER)
GO_ON = verb("goon", NUMBER)
ADVICE = verb("advice", NUMBER)
ANSWER = verb("answer", NUMBER)
REPLY = verb("reply", NUMBER)

# A family of the caseload.
WRITE = verb("write", FAMILY)
NUMBERS = verb("numbers", FAMILY)
FAMILIES = verb("fams", GROUPS, NUMBER, TEXT)  # a page, and the words sought
CARD = verb("fam", FAMILY)
OPEN = verb("open", FAMILY)
PLAN_SHOW = verb("planshow", FAMILY)
PLAN = verb("plan", FAMILY)
PLAN_DRAFT = verb("pd", NUMBER, WORD, TEXT)  # a draft, what to do with it, and with what
ARM_GOES_ON = verb("armgoeson", FAMILY, DAY)  # the date that the hold was set to
ARM_RESTS_ON = verb("armrestson", FAMILY, DAY)
NEXT_STEP = verb("nextstep", FAMILY, WORD)  # an activity whose next step is taken
GROUP = verb("group", FAMILY)
AUDIT = verb("audit", FAMILY, optional(NUMBER))  # only acts before this one
INVITE = verb("invite", FAMILY)
INVITE_ROLE = verb("inviterole", FAMILY, WORD)
INVITE_AGAIN = verb("inviteagain", WORD)
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
REMOVE_CARER = verb("removecarer", FAMILY, WORD)
REMOVE_SURE = verb("removesure", FAMILY, WORD)
REMOVE_NO = verb("removeno", FAMILY)
HANDOVER = verb("handover", FAMILY)
HANDOVER_TO = verb("ho", WORD)
HANDOVER_YES = verb("hoyes", NUMBER)
HANDOVER_NO = verb("hono", NUMBER)
COVER = verb("cover", WORD)
COVER_DAYS = verb("coverdays", WORD, NUMBER)
COVER_END = verb("coverend")
COVER_NO = verb("coverno", WORD)
COVER_DIGEST = verb("coverdigest", WORD)
COVER_DOCUMENT = verb("coverpdf", WORD)
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
