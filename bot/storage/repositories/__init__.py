"""One noun a file: the verbs by which its rows are read and written."""
