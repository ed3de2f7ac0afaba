"""Auditing files in a process of its own under limits of memory and time; one line of JSON for each file.

Run as ``python -m tests.hostile.audit_in_limits FILE...``. What a user would see is reported; an error that escapes
ends the process. Time is processor time, so that a busy machine cannot fail the test.
"""

from __future__ import annotations

import faulthandler
import gc
import json
import resource
import signal
import sys
import time
from pathlib import Path

#: What the issue allows for each file.
LARGEST_MEMORY = 1 << 30
LONGEST_SECONDS = 10.0


def _limit_time(until: float) -> None:
    """Have the system end this process once it has used so many processor seconds."""
    resource.setrlimit(resource.RLIMIT_CPU, (int(until) + 1, resource.RLIM_INFINITY))


def main() -> None:
    """Audit the files named on the command line."""
    resource.setrlimit(resource.RLIMIT_AS, (LARGEST_MEMORY, LARGEST_MEMORY))
    # Before the system ends a process that computes for too long, it tells where it was.
    gc.set_threshold(1_000_000, 20, 20)  # as the command does
    faulthandler.register(signal.SIGXCPU, chain=True)
    from quotebook.flows.audit import audit_file

    for name in sys.argv[1:]:
        start = time.process_time()
        _limit_time(start + 2 * LONGEST_SECONDS)
        audited = audit_file(Path(name))
        seconds = time.process_time() - start
        line = {
            "file": name,
            "error": audited.error,
            "findings": [[finding.check, finding.found] for finding in audited.findings],
            "seconds": seconds,
        }
        print(json.dumps(line), flush=True)


if __name__ == "__main__":
    main()
