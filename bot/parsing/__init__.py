<<<<<<< HEAD
"""Text into values: clock, dates, stays, periods, plan lines; no input or output."""
=======
"""From text to values: what every reader of messages shares. Knows nothing of the rest of the bot."""
>>>>>>> reader
