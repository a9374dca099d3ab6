"""A local messaging server, a scenario of our own, and the week that it plays."""
