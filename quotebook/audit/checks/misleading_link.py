"""A link says one address and leads to another.

What it finds
    HYPERLINK formulas whose text looks like a web address other than the one they open.

Why it costs money
    The way in which people are led to forged pages.

Faulty
    =HYPERLINK("http://a.example/x","www.b.example")

Sound
    text and target agree

How to mend
    Remove the link, or let its text say where it leads.

False alarms
    Shortened addresses.

Source
    Catalogue row P12.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.grid import walk
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.engine import syntax as s
from quotebook.engine.parse import parse
from quotebook.engine.tokens import FormulaTrouble

CHECK = Check("misleading-link", Severity.LOOK_AT_IT, ANY, When.WRONG_NOW, Kind.FILE, rows=("P12",))

_HOST = re.compile(r"(?:https?://)?(?:www\.)?([\w-]+(?:\.[\w-]+)+)", re.IGNORECASE)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each link whose text names another host."""
    for cell, formula in view.book.formulas.items():
        if "HYPERLINK" not in formula.upper():
            continue
        try:
            tree = parse(formula.removeprefix("="))
        except FormulaTrouble:
            continue
        for node in walk(tree):
            if not isinstance(node, s.Call) or node.name != "HYPERLINK" or len(node.arguments) < 2:
                continue
            target, text = node.arguments[:2]
            if isinstance(target, s.Text) and isinstance(text, s.Text):
                hosts = [_HOST.match(each.value.strip()) for each in (target, text)]
                if hosts[0] and hosts[1] and hosts[0][1].casefold() != hosts[1][1].casefold():
                    yield told(
                        CHECK,
                        cell,
                        f'a link that says "{text.value}" and opens "{target.value}"',
                        "text and target that agree",
                        "Remove the link, or let its text say where it leads.",
                        fact("the two name different hosts"),
                    )
