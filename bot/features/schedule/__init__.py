"""A family's day as they tell it, shown, changed and saved; travel."""
