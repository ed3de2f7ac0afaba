"""Packages that are sound as packages and hold nonsense or traps in their cells, formulas, names or contract."""

from __future__ import annotations

import re
from collections.abc import Callable

from tests.workbook.raw import parts_of

Parts = dict[str, str | bytes]
_ENDLESS = "$A$1:$XFD$1048576"


def _cells(*cells: str) -> str:
    return f'<row r="1">{"".join(cells)}</row>'


def _formula(text: str, value: str = "0") -> Parts:
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return parts_of(_cells(f'<c r="A1"><f>{text}</f><v>{value}</v></c>', '<c r="B1"><v>2</v></c>'))


def _names(*entries: tuple[str, str], rows: str = "") -> Parts:
    inside = "".join(f'<definedName name="{name}">{text}</definedName>' for name, text in entries)
    return parts_of(
        rows or _cells('<c r="A1"><f>one*2</f><v>0</v></c>'), workbook=f"<definedNames>{inside}</definedNames>"
    )


_CHAIN = "".join(f'<row r="{n}"><c r="A{n}"><f>A{n + 1}+1</f><v>0</v></c></row>' for n in range(1, 8_000))
_RING = "".join(f'<row r="{n}"><c r="A{n}"><f>A{n % 3000 + 1}+1</f><v>0</v></c></row>' for n in range(1, 3_001))
_WIDE = "".join(
    f'<row r="{n}"><c r="A{n}"><f>SUM(A$1:A{max(1, n - 1)},B:XFD)</f><v>0</v></c></row>' for n in range(2, 1_500)
)
_SHARED_FIRST = '<row r="1"><c r="A1"><f t="shared" si="0" ref="A1:A900">' + "B1+" * 2000 + "1</f><v>0</v></c></row>"
_SHARED = _SHARED_FIRST + "".join(
    f'<row r="{n}"><c r="A{n}"><f t="shared" si="0"/><v>0</v></c></row>' for n in range(2, 901)
)

NASTY_SHEETS: dict[str, Parts] = {
    "address twice": parts_of(_cells('<c r="A1"><v>1</v></c>', '<c r="A1"><v>2</v></c>')),
    "address twice, formula and number": parts_of(_cells('<c r="A1"><f>B1</f></c>', '<c r="A1"><v>2</v></c>')),
    "row twice": parts_of(_cells('<c r="A1"><v>1</v></c>') + _cells('<c r="A1"><v>2</v></c>')),
    "addresses backwards": parts_of(_cells('<c r="C1"><v>1</v></c>', '<c r="A1"><v>2</v></c>')),
    "address of another row": parts_of(_cells('<c r="A7"><v>1</v></c>', '<c r="B9"><f>A7</f></c>')),
    "every address the same": parts_of(_cells(*['<c r="A1"><f>A1</f></c>'] * 500)),
    "text said to be a number": parts_of(_cells('<c r="A1" t="n"><v>abc</v></c>')),
    "number said to be a text index": parts_of(_cells('<c r="A1" t="s"><v>5</v></c>'), strings="<si><t>x</t></si>"),
    "negative text index": parts_of(_cells('<c r="A1" t="s"><v>-1</v></c>'), strings="<si><t>x</t></si>"),
    "logical of 7": parts_of(_cells('<c r="A1" t="b"><v>7</v></c>')),
    "error of no kind": parts_of(_cells('<c r="A1" t="e"><v>#WHAT!</v></c>', '<c r="B1"><f>A1</f></c>')),
    "date of nonsense": parts_of(_cells('<c r="A1" t="d"><v>9999-99-99</v></c>')),
    "number of infinity": parts_of(_cells('<c r="A1"><v>1e999</v></c>', '<c r="B1"><f>A1*2</f></c>')),
    "number not a number": parts_of(_cells('<c r="A1"><v>NaN</v></c>', '<c r="B1"><f>A1*2</f></c>')),
    "number of a million digits": parts_of(_cells(f'<c r="A1"><v>{"9" * 1_000_000}</v></c>')),
    "style that is not there": parts_of(_cells('<c r="A1" s="99999"><f>1+1</f><v>2</v></c>')),
    "negative style": parts_of(_cells('<c r="A1" s="-5"><v>2</v></c>')),
    "formula for a table": parts_of(_cells('<c r="A1"><f t="dataTable" ref="A1:Z99" r1="ZZZZ9"/><v>1</v></c>')),
    "array over the sheet": parts_of(_cells('<c r="A1"><f t="array" ref="A1:XFD1048576">1</f><v>1</v></c>')),
    "array of arrays": parts_of(_cells('<c r="A1"><f t="array" ref="A1:C3">ROW(A:A)*COLUMN(1:1)</f><v>1</v></c>')),
    "shared without a first": parts_of(_cells('<c r="A1"><f t="shared" si="7"/><v>1</v></c>')),
    "shared over the sheet": parts_of(_cells('<c r="A1"><f t="shared" si="0" ref="A1:XFD1048576">B1</f><v>1</v></c>')),
    "shared and long": parts_of(_SHARED),
    "merged over the sheet": parts_of(
        _cells('<c r="A1"><f>B1</f></c>'), after='<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    ),
    "merged nonsense": parts_of("", after='<mergeCells><mergeCell ref="huh"/><mergeCell/></mergeCells>'),
    "hidden columns without end": parts_of("", before='<cols><col min="1" max="99999999" hidden="1"/></cols>'),
    "hidden columns backwards": parts_of("", before='<cols><col min="9" max="-3" hidden="1"/></cols>'),
    "formula chain of 8,000": parts_of(_CHAIN),
    "ring of 3,000": parts_of(_RING),
    "ranges without end": parts_of(_WIDE),
    "formula of 8,192 brackets": _formula("(" * 4_000 + "1" + ")" * 4_000),
    "formula of minus signs": _formula("-" * 8_000 + "1"),
    "formula of a million letters": _formula("A1+" * 333_000 + "1"),
    "formula of nothing": _formula(" "),
    "formula of open quotes": _formula('"abc'),
    "formula of control signs": _formula("A1+\ufffd"),
    "text grown by REPT": _formula('LEN(REPT("abcdefghij",1000000000))'),
    "text grown in steps": parts_of(
        "".join(f'<row r="{n}"><c r="A{n}"><f>A{n - 1}&amp;A{n - 1}</f></c></row>' for n in range(2, 60))
        + '<row r="60"><c r="A60"><f>LEN(A59)</f></c></row>'
    ),
    "power of powers": _formula("9^9^9^9^9"),
    "factorial": _formula("FACT(170)*FACT(170)*COMBIN(1000000000,500000000)"),
    "loop over a large range": _formula("SUMPRODUCT((A2:XFD1048576=1)*(A2:XFD1048576=2))"),
    "look-up in everything": _formula('VLOOKUP("x",A2:XFD1048576,16000,FALSE)'),
    "count in everything": _formula('COUNTIFS(A:XFD,"<>1",A:XFD,">0")'),
    "indirect": _formula('INDIRECT("A"&B1)+INDIRECT("XFD1048576")+OFFSET(A1,1000000,16000,48576,384)'),
    "rows of an array": _formula("SUM(ROW(1:1048576)*COLUMN(A:XFD))"),
    "link to another file": _formula("[1]Sheet1!A1+'[evil.xlsx]Data'!B2"),
    "order to another program": _formula("cmd|'/c calc'!A1"),
    "web service": _formula('WEBSERVICE("http://127.0.0.1:9/x")&HYPERLINK("file:///etc/passwd")'),
    "unknown function": _formula("_xlfn.EXPLODE(A1)"),
    "lambda": _formula("_xlfn.LAMBDA(_xlpm.x,_xlpm.x(_xlpm.x))(_xlfn.LAMBDA(_xlpm.x,_xlpm.x(_xlpm.x)))"),
    "name that is its own": _names(("one", "one")),
    "names in a ring": _names(("one", "two"), ("two", "three"), ("three", "one")),
    "names that double": _names(("n0", "1"), *((f"n{i}", f"n{i - 1}+n{i - 1}") for i in range(1, 40)), ("one", "n39")),
    "name of everything": _names(("one", f"Data!{_ENDLESS}")),
    "name of nothing": _names(("one", ""), ("", "Data!$A$1"), ("x y", "#REF!")),
    "ten thousand names": _names(*((f"name_{i}", "Data!$A$1") for i in range(10_000)), ("one", "1")),
    "name in code": _names(("one", "EXEC(&quot;calc&quot;)"), ("Auto_Open", "Data!$A$1")),
    "validation of everything": parts_of(
        "",
        after=f'<dataValidations><dataValidation sqref="{_ENDLESS.replace("$", "")}" type="list"/></dataValidations>',
    ),
    "validation of nonsense": parts_of(
        "", after='<dataValidations><dataValidation sqref="huh :" type="zz" operator="?"/></dataValidations>'
    ),
    "print area of nonsense": _names(("_xlnm.Print_Area", "Data!$Z$9:$A$"), ("one", "1")),
}


def _workbook(change: Callable[[bytes], bytes]) -> Callable[[dict[str, bytes]], dict[str, bytes]]:
    return lambda parts: parts | {"xl/workbook.xml": change(parts["xl/workbook.xml"])}


def _texts(old: bytes, new: bytes) -> Callable[[dict[str, bytes]], dict[str, bytes]]:
    """Return a change of every text of the workbook, wherever it stores them."""
    return lambda parts: {
        name: data.replace(old, new) if name.startswith("xl/") and name.endswith(".xml") else data
        for name, data in parts.items()
    }


def _all_names(text: bytes) -> Callable[[dict[str, bytes]], dict[str, bytes]]:
    return _workbook(lambda data: re.sub(rb"(<definedName\b[^>]*>)[^<]*", rb"\g<1>" + text, data))


NASTY_CONTRACTS: dict[str, Callable[[dict[str, bytes]], dict[str, bytes]]] = {
    "names of everything": _all_names(b"Price!$A$1:$XFD$1048576"),
    "names of one cell": _all_names(b"Price!$A$1"),
    "names of the last cell": _all_names(b"Price!$XFD$1048576"),
    "names of no sheet": _all_names(b"Nowhere!$A$1:$B$9"),
    "names broken": _all_names(b"#REF!"),
    "no names": _workbook(lambda data: re.sub(rb"<definedNames>.*</definedNames>", b"", data, flags=re.DOTALL)),
    "columns run over": _workbook(lambda data: re.sub(rb"\$9:\$([A-Z]+)\$\d+", rb"$9:$\g<1>$1048576", data)),
    "fields renamed": _texts(b"stock_price", b"stock_prize"),
    "roles turned": _texts(b">formula<", b">input<"),
    "shapes turned": _texts(b">scalar<", b">series<"),
    "types of nonsense": _texts(b">money<", b">lemon<"),
    "formula of a field in a ring": _texts(b"lot_number[-1]+1", b"lot_size[-1]+1"),
    "markers of templates": _texts(b"machined-part", b"../../../etc/passwd"),
    "sheets renamed alike": _workbook(lambda data: data.replace(b'name="Price"', b'name="price "')),
    "contract empty": _texts(b"quotebook contract: ", b"quotebook contract; "),
}
