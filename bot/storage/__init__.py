"""What is kept, in SQLite or PostgreSQL: tables, and the verbs that read and write them."""
