"""The page of the demo: three phones, a clock that the visitor drives, and what the real program makes of it all."""
