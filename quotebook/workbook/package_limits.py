"""Limits on a zip package, judged from its directory alone, before any part is unpacked.

Numbers: a part at most 100 MB, all parts 300 MB, 5,000 parts, 100 times expansion past 100 KiB. An honest
but very repetitive sheet can expand further, so the expansion counts only when the whole is above 100 MB.
"""

from __future__ import annotations

import re
import struct
import zipfile
from collections.abc import Sequence

from quotebook.workbook.refusals import damaged, not_a_workbook, quoted, unsafe

MOST_PARTS = 5_000
LARGEST_PART = 100_000_000
LARGEST_TOTAL = 300_000_000
HIGHEST_RATIO = 100
RATIO_COUNTS_FROM = 100 * 1024
SECOND_CHANCE_TOTAL = 100_000_000

_LOCAL_HEADER = struct.Struct("<4s22xHH")
_DRIVE = re.compile(r"[A-Za-z]:")
_ENCRYPTED = 0x1


def plain_name(name: str) -> str:
    """Return a part name with forward slashes (some old tools write backslashes)."""
    return name.replace("\\", "/")


def check_limits(where: str, entries: Sequence[zipfile.ZipInfo], data: bytes) -> None:
    """Raise UnsafeWorkbook (or NotAWorkbook for what is merely odd) unless the directory is sane."""
    if len(entries) > MOST_PARTS:
        raise unsafe(where, f"{len(entries)} parts", f"at most {MOST_PARTS}")
    _check_names(where, entries)
    _check_sizes(where, entries)
    _check_methods(where, entries)
    _check_overlap(where, entries, data)


def _check_names(where: str, entries: Sequence[zipfile.ZipInfo]) -> None:
    seen: dict[str, str] = {}
    for entry in entries:
        if "\0" in entry.orig_filename:
            raise unsafe(where, f"the part name {quoted(entry.orig_filename)}", "a name without hidden characters")
        name = plain_name(entry.filename)
        steps = name.rstrip("/").split("/")
        if name.startswith("/") or _DRIVE.match(name) or ".." in steps or "" in steps or "." in steps:
            raise unsafe(where, f"the part name {quoted(entry.filename)}", "a name inside the package")
        clash = seen.get(name.casefold())
        if clash is not None:
            raise unsafe(where, f"the parts {quoted(clash)} and {quoted(entry.filename)}", "each name once")
        seen[name.casefold()] = entry.filename


def _check_sizes(where: str, entries: Sequence[zipfile.ZipInfo]) -> None:
    total = sum(entry.file_size for entry in entries)
    if total > LARGEST_TOTAL:
        raise unsafe(where, f"{total:,} bytes when unpacked", f"at most {LARGEST_TOTAL:,}")
    for entry in entries:
        name, size = quoted(entry.filename), entry.file_size
        if size > LARGEST_PART:
            raise unsafe(where, f"{size:,} bytes in part {name}", f"at most {LARGEST_PART:,}")
        ratio = size / max(entry.compress_size, 1)
        if size > RATIO_COUNTS_FROM and ratio > HIGHEST_RATIO and total > SECOND_CHANCE_TOTAL:
            found = f"part {name} expanding {ratio:.0f} times in a package of {total:,} bytes"
            raise unsafe(where, found, f"at most {HIGHEST_RATIO} times above {SECOND_CHANCE_TOTAL:,} bytes")


def _check_methods(where: str, entries: Sequence[zipfile.ZipInfo]) -> None:
    for entry in entries:
        name = quoted(entry.filename)
        if entry.flag_bits & _ENCRYPTED:
            raise not_a_workbook(
                where, f"part {name} locked with a zip password", "a workbook", "unpack the archive first"
            )
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise damaged(where, f"part {name} packed by method {entry.compress_type}", "stored or deflated parts")


def _check_overlap(where: str, entries: Sequence[zipfile.ZipInfo], data: bytes) -> None:
    """No two parts may share bytes: overlapping parts make a small file expand without end."""
    end, before = 0, ""
    for entry in sorted(entries, key=lambda entry: entry.header_offset):
        name, start = quoted(entry.filename), entry.header_offset
        if start < 0 or start + 30 > len(data) or data[start : start + 4] != b"PK\x03\x04":
            raise damaged(where, f"part {name} missing from its place", "a complete file")
        if start < end:
            raise unsafe(where, f"parts {before} and {name} sharing the same bytes", "each part on its own")
        _, name_length, extra_length = _LOCAL_HEADER.unpack_from(data, start)
        end, before = start + 30 + name_length + extra_length + entry.compress_size, name
        if end > len(data):
            raise damaged(where, f"part {name} cut short", "a complete file")
