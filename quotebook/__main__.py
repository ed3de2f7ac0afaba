"""Lets ``python -m quotebook`` work; nothing else."""

from quotebook.cli.main import main

main()
