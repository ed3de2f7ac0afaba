"""Files whose stored results are all nonsense: a result read later was computed by the program that gives it."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

#: No job comes to this.
SENTINEL = 987654321.5
_RESULT = re.compile(rb"<c (r=\"[A-Z]+[0-9]+\")((?: s=\"[0-9]+\")?)(?: t=\"[a-z]+\")?>(<f>[^<]*</f>)<v>[^<]*</v></c>")


def poison(source: Path, target: Path) -> int:
    """Write a copy of a made workbook with every stored result replaced; return how many there were.

    This is done on the bytes and not by the package's own patch, which is under test itself.
    """
    count = 0
    with zipfile.ZipFile(source) as archive, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as copy:
        for name in archive.namelist():
            data = archive.read(name)
            if name.startswith("xl/worksheets/sheet"):
                data, more = _RESULT.subn(rb"<c \1\2>\3<v>987654321.5</v></c>", data)
                count += more
            copy.writestr(name, data)
    return count
