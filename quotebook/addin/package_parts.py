"""The parts of the extension that describe it: contents, version, menu, toolbar, where it stands, its protocol."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from quotebook.addin.menu import IDENTITY, MENU_TITLE, PROTOCOL, MenuEntry

_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_SPREADSHEET = "com.sun.star.sheet.SpreadsheetDocument"
_DATA = (
    f'{_HEAD}<oor:component-data xmlns:oor="http://openoffice.org/2001/registry"'
    ' xmlns:xs="http://www.w3.org/2001/XMLSchema"'
)
_OLDEST = "7.0"


def manifest() -> str:
    """Return the list of contents."""
    kinds = (
        ("python/component.py", "application/vnd.sun.star.uno-component;type=Python"),
        ("ProtocolHandler.xcu", "application/vnd.sun.star.configuration-data"),
        ("Addons.xcu", "application/vnd.sun.star.configuration-data"),
        ("CalcWindowState.xcu", "application/vnd.sun.star.configuration-data"),
    )
    entries = "".join(
        f'<manifest:file-entry manifest:media-type="{kind}" manifest:full-path="{path}"/>\n' for path, kind in kinds
    )
    return f'{_HEAD}<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">\n{entries}</manifest:manifest>\n'


def description(version: str) -> str:
    """Return identity, version and what the extension needs."""
    return (
        f'{_HEAD}<description xmlns="http://openoffice.org/extensions/description/2006"'
        ' xmlns:d="http://openoffice.org/extensions/description/2006"'
        ' xmlns:l="http://libreoffice.org/extensions/description/2011">\n'
        f'<identifier value="{IDENTITY}"/>\n<version value="{version}"/>\n'
        '<display-name><name lang="en">Quotebook: checking estimating workbooks</name></display-name>\n'
        f'<dependencies><l:LibreOffice-minimal-version value="{_OLDEST}" d:name="LibreOffice {_OLDEST}"/>'
        "</dependencies>\n</description>\n"
    )


def addons(entries: Sequence[MenuEntry]) -> str:
    """Return menu and toolbar."""
    menu = "".join(_menu_item(number, entry) for number, entry in enumerate(entries, start=1))
    bar = "".join(_item(f"B{number:02}", entry, entry.short) for number, entry in enumerate(entries, 1) if entry.short)
    return (
        f'{_DATA} oor:name="Addons" oor:package="org.openoffice.Office">\n<node oor:name="AddonUI">\n'
        f'<node oor:name="OfficeMenuBar"><node oor:name="{IDENTITY}" oor:op="replace">\n'
        f"{_prop('Title', '~' + MENU_TITLE, True)}{_prop('Context', _SPREADSHEET)}"
        f'<node oor:name="Submenu">\n{menu}</node></node></node>\n'
        f'<node oor:name="OfficeToolBar"><node oor:name="{IDENTITY}.bar" oor:op="replace">\n'
        f"{_prop('Title', MENU_TITLE, True)}{bar}</node></node>\n"
        "</node>\n</oor:component-data>\n"
    )


def window_state() -> str:
    """Return where the toolbar stands: docked at the top, below the others, with words on its buttons."""
    name = f"private:resource/toolbar/addon_{IDENTITY}.bar"
    values = (
        ("Docked", "xs:boolean", "true"), ("DockingArea", "xs:int", "0"), ("DockPos", "xs:string", "0,3"),
        ("Visible", "xs:boolean", "true"), ("Style", "xs:int", "1"),
    )  # fmt: skip
    props = "".join(
        f'<prop oor:name="{prop}" oor:type="{kind}"><value>{value}</value></prop>\n' for prop, kind, value in values
    )
    return (
        f'{_DATA} oor:name="CalcWindowState" oor:package="org.openoffice.Office.UI">\n'
        '<node oor:name="UIElements"><node oor:name="States">\n'
        f'<node oor:name="{name}" oor:op="replace">\n{_prop("UIName", MENU_TITLE, True)}{props}</node>\n'
        "</node></node>\n</oor:component-data>\n"
    )


def protocol_handler() -> str:
    """Return which component answers the commands."""
    return (
        f'{_DATA} oor:name="ProtocolHandler" oor:package="org.openoffice.Office">\n<node oor:name="HandlerSet">\n'
        f'<node oor:name="{IDENTITY}.Handler" oor:op="replace">\n'
        f'<prop oor:name="Protocols" oor:type="oor:string-list"><value>{PROTOCOL}*</value></prop>\n'
        "</node></node>\n</oor:component-data>\n"
    )


def _menu_item(number: int, entry: MenuEntry) -> str:
    line = ""
    if entry.line_before:
        line = f'<node oor:name="M{number:02}a" oor:op="replace">{_prop("URL", "private:separator")}</node>\n'
    return line + _item(f"M{number:02}b", entry, entry.title)


def _item(name: str, entry: MenuEntry, title: str) -> str:
    inside = f"{_prop('URL', PROTOCOL + entry.name)}{_prop('Title', title, True)}{_prop('Target', '_self')}"
    return f'<node oor:name={quoteattr(name)} oor:op="replace">\n{inside}{_prop("Context", _SPREADSHEET)}</node>\n'


def _prop(name: str, value: str, told: bool = False) -> str:
    """Return a property; ``told``: a text in a language."""
    language = ' xml:lang="en-US"' if told else ""
    return f'<prop oor:name="{name}" oor:type="xs:string"><value{language}>{escape(value)}</value></prop>\n'
