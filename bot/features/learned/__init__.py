"""The day that learns: a changed nap or feed is asked about in one line, and who wants fixed times keeps them."""
