"""Opening a workbook package safely: in memory, within limits, never unpacked to disk.

A file that is no workbook is refused with the one plain reason; see ``file_kinds`` and ``package_limits``.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from pathlib import Path

from quotebook.workbook.file_kinds import require_regular_file, require_zip
from quotebook.workbook.package_limits import LARGEST_TOTAL, check_limits, plain_name
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


class Package:
    """An opened package. ``names`` are the part names in file order, with forward slashes."""

    def __init__(self, path: Path, archive: zipfile.ZipFile) -> None:
        self.path = path
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
        entry = self._by_name.get(plain_name(name).lstrip("/").casefold())
        if entry is None:
            raise damaged(str(self.path), f"no part {quoted(name)}", "that part, for another part refers to it")
        return self.read_entry(entry)

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
            if entry.filename not in self._checked:
                self.read_entry(entry)


def open_package(path: str | Path) -> Package:
    """Open a workbook file; NotAWorkbook or UnsafeWorkbook with one reason if that cannot be done safely."""
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
    package = Package(path, archive)
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
