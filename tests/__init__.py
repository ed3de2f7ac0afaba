"""The tests; each names the source of what it expects."""
