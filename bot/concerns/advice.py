def advice_key(c):
    return c.urgency
