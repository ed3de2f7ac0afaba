"""A book's program: from this process, from the disk, or compiled afresh.

The compiler itself is loaded only when it is needed.
"""

from __future__ import annotations

from collections import OrderedDict

from quotebook.engine.book import FormulaBook
from quotebook.engine.program import Program


def compile_book(book: FormulaBook) -> Program:
    """Return the program of a book's formulas, from a cache when the same formulas were compiled before.

    In this process equal text is enough; on disk also equal meaning, so that copies saved by other programs share one.
    """
    from quotebook.engine.digest import text_digest

    digest = text_digest(book)
    program = _PROGRAMS.get(digest)
    if program is not None:
        _PROGRAMS.move_to_end(digest)
        return program
    program = _from_disk_or_new(book, digest)
    _PROGRAMS[digest] = program
    while len(_PROGRAMS) > MOST_PROGRAMS:
        _PROGRAMS.popitem(last=False)
    return program


#: Compiled programs kept in this process, the latest used last.
MOST_PROGRAMS = 16
_PROGRAMS: OrderedDict[str, Program] = OrderedDict()
#: Smaller books compile faster than a file is found, and what-ifs of an audit make many of them.
SMALLEST_STORED = 300


def _from_disk_or_new(book: FormulaBook, digest: str) -> Program:
    if len(book.formulas) < SMALLEST_STORED:
        return compile_new(book)
    from quotebook.engine import disk_cache

    if not disk_cache.is_on():
        return compile_new(book)
    from quotebook.engine.normal import meaning_digest

    plan = disk_cache.load(digest)
    if plan is not None:
        return Program(plan)
    meaning = meaning_digest(book)
    plan = disk_cache.load(meaning)
    if plan is None:
        program = compile_new(book)
        disk_cache.store(meaning, program.plan)
    else:
        program = Program(plan)
    disk_cache.also(digest, meaning)
    return program


def compile_new(book: FormulaBook) -> Program:
    """Return a freshly compiled program, whatever the cache holds."""
    from quotebook.engine import planner

    return Program(planner.plan_book(book))
