"""What the commands do: loaded when one runs, so that help and completion answer at once."""
