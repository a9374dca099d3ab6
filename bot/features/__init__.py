"""What a person can do, a folder a job: load what is needed, decide, apply."""
