"""The file's properties name people, companies or folders.

What it finds
    Author, last editor, company, manager, and the folder that the file was saved in.

Why it costs money
    A quote that leaves the house tells who made it and how the house names its folders.

Faulty
    created by "J. Example", saved in C:\\Users\\...\\Customers

Sound
    properties empty or those of the firm

How to mend
    Use the program's document inspector before sending.

False alarms
    Names that are meant to be there, such as the contact.

Source
    Catalogue row P8.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.package_facts import package_facts
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("names-in-properties", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P8",))

_PERSONAL = ("creator", "lastModifiedBy", "Company", "Manager")
_PROGRAMS = ("openpyxl", "xlsxwriter", "quotebook")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    said = {name: view.snapshot.properties.get(name, "").strip() for name in _PERSONAL}
    told_names = [f"{name} {text}" for name, text in said.items() if text and text.lower() not in _PROGRAMS]
    folder = package_facts(view).saved_in
    if folder:
        told_names.append(f"folder {folder}")
    if told_names:
        yield told(
            CHECK,
            None,
            ", ".join(told_names),
            "properties that may be seen outside",
            "Use the program's document inspector before the file leaves the house.",
            fact("everybody who has the file can read them"),
        )
