"""Text into values: clock, dates, stays, periods, plan lines; no input or output."""
