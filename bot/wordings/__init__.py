"""The notation in which the sign files and the word files write what carers say: see README.md beside this file."""
