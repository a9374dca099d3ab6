"""A person's rights over what is kept of them."""
