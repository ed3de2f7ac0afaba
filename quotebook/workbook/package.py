"""Opening a workbook package safely: in memory, within limits, never unpacked to disk.

A file that is no workbook is refused with the one plain reason; see ``file_kinds`` and ``package_limits``.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable, Hashable
from hashlib import sha256
from pathlib import Path
from typing import TypeVar

from quotebook.workbook.file_kinds import require_regular_file, require_zip
from quotebook.workbook.package_limits import LARGEST_TOTAL, check_limits, plain_name
from quotebook.workbook.part_memory import PartMemory, packed_digest
from quotebook.workbook.refusals import damaged, not_a_workbook, quoted, unsafe

_ZIP_TROUBLE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    OSError,
    OverflowError,
    RuntimeError,
    ValueError,
)
_SAVE_AS = "open it in the spreadsheet program and save it as .xlsx"

T = TypeVar("T")


class Package:
    """An opened package. ``names`` are the part names in file order, with forward slashes.

    ``data``: the whole file. ``memory``: parts of other packages of the same batch, if there is one.
    """

    def __init__(self, path: Path, archive: zipfile.ZipFile, data: bytes, memory: PartMemory | None = None) -> None:
        self.path = path
        self._data = data
        self._memory = memory
        self._last: tuple[zipfile.ZipInfo, bytes] | None = None
        self.entries = tuple(archive.infolist())
        self.names = tuple(plain_name(entry.filename) for entry in self.entries if not entry.is_dir())
        self._archive = archive
        self._by_name = {plain_name(entry.filename).casefold(): entry for entry in self.entries}
        self._checked: set[str] = set()

    def find(self, name: str) -> str | None:
        """Return the name under which a part is stored, capitals ignored as the format demands, or None."""
        entry = self._by_name.get(plain_name(name).lstrip("/").casefold())
        return None if entry is None or entry.is_dir() else plain_name(entry.filename)

    def where(self, name: str) -> str:
        """Return how messages name a part of this file."""
        return f"{self.path}, part {name}"

    def read(self, name: str) -> bytes:
        """Return the bytes of a part; NotAWorkbook if it is not there or damaged."""
        entry = self._entry(name)
        if self._last is not None and self._last[0] is entry:
            return self._last[1]
        return self.read_entry(entry)

    def made_of(self, name: str, make: Callable[..., T], *given: Hashable) -> T:
        """Return what a function makes of the bytes of a part, of how messages name it, and of what else is given.

        In a batch it is asked once for the same bytes and its answer is shared, so nobody may change it; the name is
        for messages only. Errors: as ``read``, and those of the function.
        """
        if self._memory is None:
            return make(self.read(name), self.where(name), *given)
        key = (make, self.digest(name), given)
        made: T | None = self._memory.made.get(key)
        if made is None:
            data = self.read(name)
            made = make(data, self.where(name), *given)
            self._memory.made.keep(key, made, len(data))
        return made

    def digest(self, name: str) -> bytes:
        """Return a digest of the bytes of a part, which in a batch are not unpacked if they are known.

        Errors: as ``read``.
        """
        entry = self._entry(name)
        return sha256(self.read_entry(entry)).digest() if self._memory is None else self._known(entry, self._memory)

    def _entry(self, name: str) -> zipfile.ZipInfo:
        entry = self._by_name.get(plain_name(name).lstrip("/").casefold())
        if entry is None:
            raise damaged(str(self.path), f"no part {quoted(name)}", "that part, for another part refers to it")
        return entry

    def _known(self, entry: zipfile.ZipInfo, memory: PartMemory) -> bytes:
        """Return the digest of a part's bytes; a part that has to be unpacked for it is at hand for ``read``."""
        packed = packed_digest(self._data, entry, self._archive.start_dir)
        known = None if packed is None else memory.insides.get(packed)
        if known is None:
            data = self.read_entry(entry)
            self._last = (entry, data)
            known = sha256(data).digest()
            if packed is not None:
                memory.insides.keep(packed, known)
        self._checked.add(entry.filename)
        return known

    def read_entry(self, entry: zipfile.ZipInfo) -> bytes:
        """Return the bytes of a directory entry; the declared size bounds what is unpacked."""
        try:
            with self._archive.open(entry) as stream:
                data = stream.read(entry.file_size)
        except _ZIP_TROUBLE as error:
            raise damaged(self.where(quoted(entry.filename)), f"damaged bytes ({error})", "a sound part") from error
        if len(data) != entry.file_size:
            found = f"{len(data)} bytes"
            raise damaged(self.where(quoted(entry.filename)), found, f"{entry.file_size} bytes")
        self._checked.add(entry.filename)
        return data

    def check_unread(self) -> None:
        """Raise NotAWorkbook if a part that was not read so far is damaged."""
        for entry in self.entries:
            if entry.filename in self._checked:
                continue
            if self._memory is None:
                self.read_entry(entry)
            else:
                self._known(entry, self._memory)


def open_package(path: str | Path, memory: PartMemory | None = None) -> Package:
    """Open a workbook file. ``memory``: what earlier packages of the same batch left, which makes reading faster.

    NotAWorkbook or UnsafeWorkbook with one reason if it cannot be opened safely.
    """
    path = Path(path)
    try:
        require_regular_file(path)
        size = path.stat().st_size
        if size > LARGEST_TOTAL:
            raise unsafe(str(path), f"a file of {size:,} bytes", f"at most {LARGEST_TOTAL:,}")
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        found = f"a file that cannot be read ({error})"
        raise not_a_workbook(str(path), found, "a readable file", "check the name and the permissions") from error
    require_zip(path, data)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except _ZIP_TROUBLE as error:
        found = f"a package that is cut short or damaged ({error})"
        raise not_a_workbook(str(path), found, "a complete file", "copy or download it again") from error
    check_limits(str(path), archive.infolist(), data)
    package = Package(path, archive, data, memory)
    _refuse_other_packages(package)
    return package


def _refuse_other_packages(package: Package) -> None:
    """Name the common zip files that are no .xlsx: OpenDocument, binary workbook, text document, plain zip."""
    where, wanted = str(package.path), "an .xlsx or .xlsm workbook"
    if package.find("mimetype") is not None:
        kind = package.read("mimetype")[:100].decode("ascii", errors="replace")
        if "opendocument" in kind:
            raise not_a_workbook(where, f"an OpenDocument file ({quoted(kind)})", wanted, _SAVE_AS)
    if package.find("xl/workbook.bin") is not None:
        raise not_a_workbook(where, "a binary workbook (.xlsb)", wanted, _SAVE_AS)
    for part, kind in (("word/document.xml", "a text document"), ("ppt/presentation.xml", "a presentation")):
        if package.find(part) is not None:
            raise not_a_workbook(where, kind, wanted, "name the workbook instead")
    if package.find("[Content_Types].xml") is None and package.find("xl/workbook.xml") is None:
        raise not_a_workbook(where, "a zip archive without a workbook in it", wanted, "unpack it and name the workbook")
