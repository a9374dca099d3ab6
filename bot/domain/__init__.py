"""What the clinic's people, plans, reminders, log entries and concerns are: frozen values, no input or output."""
