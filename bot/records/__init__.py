"""What is kept: tables, the verbs that read and write them, migrations, encryption."""
