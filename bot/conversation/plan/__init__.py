"""Plans built, checked, shown and told in chat."""
