"""The commands of the add-in, in the order of menu and toolbar: one list for the extension and for what answers it."""

from __future__ import annotations

from dataclasses import dataclass

#: The extension's identity and the protocol of its commands.
IDENTITY = "vnd.quotebook.shell"
PROTOCOL = f"{IDENTITY}:"
MENU_TITLE = "Quotebook"


@dataclass(frozen=True, slots=True)
class MenuEntry:
    """One command. ``short``: its text on the toolbar, "" where it is not there. ``line_before``: a rule above it."""

    name: str
    title: str
    short: str = ""
    line_before: bool = False


ENTRIES = (
    MenuEntry("check", "~Check this workbook", "Check"),
    MenuEntry("clear", "Clear the ~marks", "Clear marks"),
    MenuEntry("recompute", "~Recompute and compare", "Recompute"),
    MenuEntry("new", "~New job...", "New job", line_before=True),
    MenuEntry("prices", "~Fill in supplier prices from a folder...", "Supplier prices"),
    MenuEntry("quote", "Customer co~py...", "Customer copy"),
    MenuEntry("closeout", "Close ~out...", "Close out", line_before=True),
)
