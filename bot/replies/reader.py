import re
from bot.concerns.reader import find_concerns
from bot.replies.reading import *


def read_reply(text, context):
    f = find_concerns(
        text,
        now=context.now,
        age_weeks=context.age_weeks,
        affected_side=context.affected_side,
        language=context.language,
    )
    e = ()
    r = None
    s = None
    conf = False
    t = text.lower()
    p = context.prompt
    m = re.search(r"(\d+) ?min", t)
    if m and p:
        e = (Entry(p.activity, float(m[1]), p.side),)
    elif m:
        e = (Entry(None, float(m[1])),)
        conf = True
    elif t in ("done", "listo") and p:
        e = (Entry(p.activity, p.minutes, p.side),)
    elif "how do i" in t:
        r = Request("refresher", "football_hold")
    elif "asleep" in t:
        s = "asleep"
    elif "?" in t:
        r = Request("question")
    o = (Observation("head_turn", "right"),) if "turned right" in t else ()
    return Reading(
        entries=e,
        skipped=s,
        observations=o,
        request=r,
        concern=f.concern,
        unclear=f.unclear,
        confirm=conf or f.unclear is not None,
        unread=None if (e or r or s or o or f.concern) else text,
    )
