"""The short way: a book in, results out."""

from __future__ import annotations

from datetime import datetime

from quotebook.engine.book import Evaluation, FormulaBook
from quotebook.engine.compile import compile_book


def evaluate(book: FormulaBook, *, now: datetime | None = None) -> Evaluation:
    """Return a result or a reason for every formula cell of a book, from its formulas and inputs alone.

    Shape:  a book with any number of formulas -> one result each. ``now`` fixes what TODAY and NOW answer.
    Errors: none for a single cell; its result says "not evaluated" and why.
    """
    return compile_book(book).run(book.inputs, now=now)
