"""The edge to the messaging service: inbox, outbox, limits."""

import os

# The library's own switch, read when it is first imported: lengths of time as timedelta, as its next release will have.
os.environ.setdefault("PTB_TIMEDELTA", "true")
