"""Parts that were met before: in a folder of workbooks most parts are the same, packed byte for byte.

A part is told by its packed bytes and everything else that decides how it is unpacked, its name and its checksum among
it; the hour at which it was packed does not. One that a batch has unpacked before is sound and holds what it held then,
so it is not unpacked again unless somebody asks for its bytes. What was made of a part's bytes alone, the names in
the workbook part or the formats, is made once.
"""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Callable, Hashable
from hashlib import sha256
from typing import Any

from quotebook.workbook.lately import Lately

#: Digests of parts that are kept; a workbook of ours has sixty parts.
MOST_PARTS = 20_000
#: Bytes of the parts of which is kept what was made of them.
MOST_BYTES = 4_000_000

_HEADER = struct.Struct("<26xHH")
_LENGTH = _HEADER.size
#: Hour and date in the header before a part.
_HOUR = slice(10, 14)

#: What makes something of a part's bytes, and what else it was given.
Made = tuple[Callable[..., Any], bytes, tuple[Hashable, ...]]


class PartMemory:
    """``insides``: the digest of a part's bytes by the digest of how it is packed. ``made``: what was made of bytes."""

    def __init__(self) -> None:
        self.insides: Lately[bytes, bytes] = Lately(MOST_PARTS)
        self.made: Lately[Made, Any] = Lately(MOST_BYTES)


def packed_digest(package: bytes, entry: zipfile.ZipInfo, directory: int) -> bytes | None:
    """Return a digest of everything that decides what a part unpacks to, or None where it overlaps the directory.

    ``package``: the whole file, whose limits were checked; ``directory``: where the directory of its parts begins.
    """
    start = entry.header_offset
    header = package[start : start + _LENGTH]
    end = start + _LENGTH + sum(_HEADER.unpack(header)) + entry.compress_size
    if end > directory:
        return None
    listed = (
        entry.orig_filename, entry.flag_bits, entry.compress_type, entry.CRC, entry.compress_size, entry.file_size,
    )  # fmt: skip
    told = sha256(repr(listed).encode("utf-8", "surrogatepass"))
    told.update(header[: _HOUR.start] + header[_HOUR.stop :])
    told.update(memoryview(package)[start + _LENGTH : end])
    return told.digest()
