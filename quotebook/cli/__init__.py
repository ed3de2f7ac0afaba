"""The command line: words in, tables and exit codes out."""
