"""Number formats as text: what TEXT and the format box of a cell mean.

Known: General, digits with thousands, decimals, percent and scaling commas, literals, currency, sections for negative,
zero and text, dates and times with English names, elapsed hours. Anything else is refused, never guessed.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from quotebook.engine.convert import NotSupported, general
from quotebook.values import Value

_TOKEN = re.compile(
    r"""
    (?P<literal>"[^"]*"|\\.)
  | (?P<blank>_.)
  | (?P<currency>\[\$[^\]]*\])
  | (?P<elapsed>\[(?:h+|m+|s+)\])
  | (?P<color>\[(?:black|blue|cyan|green|magenta|red|white|yellow|color\s?[0-9]+)\])
  | (?P<general>General)
  | (?P<half>AM/PM|A/P)
  | (?P<date>y+|m+|d+|h+|s+)
  | (?P<scientific>E[+-]0+)
  | (?P<digit>[0#])
  | (?P<sign>[.,%@])
  | (?P<plain>[-+$€£¥()\ :/!^&'~{}<>=]|[^\x00-\x7f])
    """,
    re.VERBOSE | re.IGNORECASE,
)
Token = tuple[str, str]


def show(value: Value, pattern: str, date1904: bool) -> str:
    """Return a value as a format shows it. Errors: NotSupported for formats that are not known here."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    sections = [_tokens(section) for section in _sections(pattern)]
    if isinstance(value, str):
        return _show_text(value, sections)
    if not isinstance(value, float):
        raise NotSupported("a format is applied to something that is neither number nor text")
    if len(sections) > 4:
        raise NotSupported(f"the number format {pattern!r} has more than four sections")
    numeric = sections[:3]
    section, shown = numeric[0], value
    if len(numeric) > 1 and value < 0:
        section, shown = numeric[1], -value
    elif len(numeric) > 2 and value == 0:
        section = numeric[2]
    if not section:
        return "-" if len(numeric) == 1 and value < 0 else ""
    kinds = {kind for kind, _ in section}
    if kinds & {"date", "elapsed", "half"}:
        from quotebook.engine.dateformat import show_date

        if kinds & {"digit", "scientific"} or any(token == ("sign", "%") for token in section):
            raise NotSupported(f"the number format {pattern!r} mixes dates and digits")
        return show_date(shown, section, date1904)
    if ("sign", "@") in section:
        return "".join(general(shown) if token == ("sign", "@") else _literal(*token) for token in section)
    if "general" in kinds:
        sign = "-" if shown < 0 else ""
        return sign + "".join(general(abs(shown)) if kind == "general" else _literal(kind, t) for kind, t in section)
    return _show_number(shown, section, pattern)


def _sections(pattern: str) -> list[str]:
    """Cut a format at its semicolons outside of literals."""
    return re.findall(r'((?:"[^"]*"|\\.|\[[^\]]*\]|[^;"\\])*)(?:;|$)', pattern)[: pattern.count(";") + 1] or [""]


def _tokens(section: str) -> list[Token]:
    tokens: list[Token] = []
    position = 0
    while position < len(section):
        match = _TOKEN.match(section, position)
        if match is None:
            raise NotSupported(f"the number format {section!r} is not supported")
        position = match.end()
        if match.lastgroup != "color":
            tokens.append((str(match.lastgroup), match.group()))
    return tokens


def _literal(kind: str, written: str) -> str:
    if kind == "literal":
        return written[1:-1] if written.startswith('"') else written[1:]
    if kind == "blank":
        return " "
    if kind == "currency":
        return written[2:-1].rsplit("-", 1)[0] if "-" in written else written[2:-1]
    return written


def _show_text(value: str, sections: list[list[Token]]) -> str:
    section = sections[3] if len(sections) > 3 else None
    if section is None and ("sign", "@") in sections[-1]:
        section = sections[-1]
    if section is None:
        return value
    return "".join(value if token == ("sign", "@") else _literal(*token) for token in section)


def _show_number(value: float, section: list[Token], pattern: str) -> str:
    places = [index for index, (kind, _) in enumerate(section) if kind == "digit"]
    if not places:
        body = "".join(_literal(*token) for token in section)
        return f"-{body}" if value < 0 else body
    points = [index for index, token in enumerate(section) if token == ("sign", ".")]
    if len(points) > 1:
        raise NotSupported(f"the number format {pattern!r} has two decimal points")
    point = points[0] if points else None
    if any(kind == "scientific" for kind, _ in section):
        return _show_scientific(value, section, pattern)
    # Commas behind the last digit place divide by a thousand each; commas between places group thousands.
    end = point if point is not None else places[-1] + 1
    whole = [index for index in places if index < end]
    scaling = 0
    while (places[-1] + 1 + scaling) < len(section) and section[places[-1] + 1 + scaling] == ("sign", ","):
        scaling += 1
    if whole and point is not None and section[whole[-1] + 1] == ("sign", ","):
        raise NotSupported(f"the number format {pattern!r} scales before its decimal point")
    grouped = bool(whole) and any(section[index] == ("sign", ",") for index in range(whole[0], whole[-1]))
    shown = Decimal(f"{value:.15g}") * 100 ** sum(token == ("sign", "%") for token in section)
    shown = shown.scaleb(-3 * scaling)
    decimals = [index for index in places if point is not None and index > point]
    negative = value < 0
    rounded = abs(shown).quantize(Decimal(1).scaleb(-len(decimals)), ROUND_HALF_UP)
    digits, _, fraction = f"{rounded:f}".partition(".")
    digits = digits.lstrip("0")
    filled = _fill_whole(digits, section, whole, grouped)
    filled.update(_fill_decimals(fraction, section, decimals))
    out = []
    for index, token in enumerate(section):
        if index in filled:
            out.append(filled[index])
        elif token[0] == "digit" or token == ("sign", ","):
            continue
        else:
            out.append(_literal(*token))
    if not whole and digits:
        assert point is not None, "digit places stand on one side of the point at least"
        out[point] = f"{digits}."
    return ("-" if negative else "") + "".join(out)


def _fill_whole(digits: str, section: list[Token], whole: list[int], grouped: bool) -> dict[int, str]:
    """Give each place before the point its digit from the right; the first place takes all that is left."""
    filled: dict[int, str] = {}
    left = digits
    count = 0
    for index in reversed(whole):
        take = left if index == whole[0] else left[-1:]
        left = "" if index == whole[0] else left[:-1]
        if not take and section[index][1] == "0":
            take = "0"
        piece = ""
        for digit in reversed(take):
            if grouped and count and count % 3 == 0:
                piece = "," + piece
            piece = digit + piece
            count += 1
        filled[index] = piece
    return filled


def _fill_decimals(fraction: str, section: list[Token], decimals: list[int]) -> dict[int, str]:
    filled: dict[int, str] = {}
    needed = len(fraction.rstrip("0"))
    for place, index in enumerate(decimals):
        keep = place < needed or any(section[later][1] == "0" for later in decimals[place:])
        filled[index] = fraction[place] if keep else ""
    return filled


def _show_scientific(value: float, section: list[Token], pattern: str) -> str:
    shape = "".join(text if kind in ("digit", "scientific") or text == "." else "?" for kind, text in section)
    match = re.fullmatch(r"0(?:\.(0+))?E([+-])(0+)", shape, re.IGNORECASE)
    if match is None:
        raise NotSupported(f"the number format {pattern!r} is not supported")
    decimals = len(match[1] or "")
    shown = Decimal(f"{value:.15g}")
    exponent = shown.adjusted() if shown else 0
    mantissa = shown.scaleb(-exponent).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    if abs(mantissa) >= 10:
        exponent += 1
        mantissa = shown.scaleb(-exponent).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    sign = "-" if exponent < 0 else "+" if match[2] == "+" else ""
    return f"{mantissa:f}E{sign}{abs(exponent):0{len(match[3])}d}"
