"""Auditing files in a process of its own under limits of memory and time; one line of JSON for each file.

Run as ``python -m tests.hostile.audit_in_limits FILE...``. What a user would see is reported: a traceback is a failure of
the whole process, an internal error is not hidden.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

#: What the issue allows for each file.
LARGEST_MEMORY = 1 << 30
LONGEST_SECONDS = 10.0


def main() -> None:
    """Audit the files named on the command line."""
    resource.setrlimit(resource.RLIMIT_AS, (LARGEST_MEMORY, LARGEST_MEMORY))
    from quotebook.flows.audit import audit_file

    for name in sys.argv[1:]:
        start = time.perf_counter()
        audited = audit_file(Path(name))
        seconds = time.perf_counter() - start
        line = {
            "file": name,
            "error": audited.error,
            "findings": [[finding.check, finding.found] for finding in audited.findings],
            "seconds": seconds,
        }
        print(json.dumps(line), flush=True)


if __name__ == "__main__":
    main()
