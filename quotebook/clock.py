"""The time that an audit may take, so that a file made to be slow cannot hold up a whole folder.

It runs from the opening of the file. Loops that a workbook can make long, in reading, compiling, computing and judging,
call ``tick``; when the time is used up it raises ``OutOfTime``, and the audit says what was not judged. Time is
processor time: a busy machine does not change what is found.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from time import perf_counter, process_time

#: Processor seconds for one workbook; a home-made quote of ordinary size takes a hundredth of it.
AUDIT_SECONDS = 6.0
#: The same for a workbook of ours whose contract is intact: a sound one takes four to six, compiled afresh.
OWN_SECONDS = 8.0

_END: ContextVar[float | None] = ContextVar("end of the audit", default=None)


#: Seconds between two looks at the processor time, which is ten times slower to ask for than the time of day.
_BETWEEN = 0.02
_LOOKED = [0.0]


class OutOfTime(Exception):
    """The time for this workbook is used up; the runner turns it into what was not judged."""


@contextmanager
def within(seconds: float, since: float | None = None) -> Iterator[None]:
    """Let ``tick`` raise once so many processor seconds have gone, counted from now or from ``since``."""
    token = _END.set((process_time() if since is None else since) + seconds)
    try:
        yield
    finally:
        _END.reset(token)


def began() -> float:
    """Return this moment, for ``within``; in processor seconds."""
    return process_time()


def tick() -> None:
    """Go on if there is time left. Errors: OutOfTime. Outside of ``within`` there is always time."""
    end = _END.get()
    if end is None:
        return
    now = perf_counter()
    # One thread cannot use up more processor time than has gone by on the wall. A clock set back is looked at.
    if 0.0 <= now - _LOOKED[0] < _BETWEEN:
        return
    if process_time() > end:
        raise OutOfTime
    _LOOKED[0] = now
