"""Building the extension: the shell's files, the menu, the settings, as a zip that is the same every time."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path

from quotebook import __version__
from quotebook.addin.menu import ENTRIES, IDENTITY
from quotebook.addin.package_parts import addons, description, manifest, protocol_handler, window_state
from quotebook.flows.findings_sheet import LISTS, TAG
from quotebook.workbook.atomic import atomic_bytes

FILE_NAME = "quotebook.oxt"
_SHELL = Path(__file__).resolve().parent / "shell"
#: The first moment that a zip can tell.
_MOMENT = (1980, 1, 1, 0, 0, 0)


def extension_bytes(engine: Sequence[str] = ()) -> bytes:
    """Return the extension. ``engine``: the words that start quotebook on this machine; none: it is looked for.

    The same quotebook and the same words give the same bytes.
    """
    parts = {
        "META-INF/manifest.xml": manifest(),
        "description.xml": description(__version__),
        "Addons.xcu": addons(ENTRIES),
        "CalcWindowState.xcu": window_state(),
        "ProtocolHandler.xcu": protocol_handler(),
        "python/component.py": (_SHELL / "component.py").read_text(encoding="utf-8"),
        "python/pythonpath/quotebook_shell/settings.json": settings_text(engine),
    }
    for path in (_SHELL / "pythonpath" / "quotebook_shell").glob("*.py"):
        parts[f"python/pythonpath/quotebook_shell/{path.name}"] = path.read_text(encoding="utf-8")
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, text in sorted(parts.items()):
            entry = zipfile.ZipInfo(name, _MOMENT)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            archive.writestr(entry, text.encode("utf-8"), compresslevel=9)
    return buffer.getvalue()


def settings_text(engine: Sequence[str]) -> str:
    """Return what the shell must know: where quotebook is, the lists and their headings, the last line of notes."""
    lists = {title: list(headings) for title, headings in LISTS.items()}
    data = {"identity": IDENTITY, "engine": list(engine), "lists": lists, "tag": TAG}
    return json.dumps(data, indent=1, sort_keys=True) + "\n"


def write_extension(target: Path, engine: Sequence[str] = (), *, force: bool = False) -> None:
    """Write the extension. Errors: TargetExists unless ``force``; BookError where it cannot be written."""
    atomic_bytes(target, extension_bytes(engine), force)
