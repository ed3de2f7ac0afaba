"""Cases of the checks that need no contract: for each one that speaks and one that is silent.

What each case expects was worked out by hand from its cells; the faults are those of the checks' own explanations.
"""

from __future__ import annotations

from typing import Any

from quotebook.workbook.snapshot import Calculation, Style
from tests.audit.foreign import Case


def block(**changes: Any) -> dict[str, Any]:
    """Four operations with hours, rate and amount in rows 5 to 8, their total in row 9 and a price in row 11."""
    cells: dict[str, Any] = {"A4": "Operation", "B4": "Hours", "C4": "Rate per hour", "D4": "Amount"}
    for row, (work, hours, rate) in enumerate(
        (("Saw", 1.5, 45), ("Turn", 6, 72), ("Mill", 8.5, 85), ("Check", 2.25, 60)), 5
    ):
        cells |= {f"A{row}": work, f"B{row}": hours, f"C{row}": rate, f"D{row}": f"=B{row}*C{row}"}
    cells |= {"A9": "Total cost", "D9": "=SUM(D5:D8)", "A10": "Markup", "D10": 0.25}
    cells |= {"A11": "Total price", "D11": "=D9*(1+D10)"}
    return {key: value for key, value in {**cells, **changes}.items() if value is not None}


def _anchored(formula: str) -> dict[str, Any]:
    """Five lines of hours in B5:B9 with one shop rate in B2."""
    cells: dict[str, Any] = {"A2": "Shop rate per hour", "B2": 80, "A3": "Pieces", "B3": 7, "A4": "Work", "B4": "Hours"}
    for row in range(5, 10):
        cells |= {f"A{row}": f"Work {row}", f"B{row}": row / 2, f"C{row}": formula.format(r=row, s=row - 3, f=5)}
    return cells | {"C4": "Amount", "A11": "Total price", "C11": "=SUM(C5:C9)"}


def _lots(**changes: Any) -> dict[str, Any]:
    """Three lots of one part below each other, eight lines each, with one shop rate in B1."""
    cells: dict[str, Any] = {"A1": "Shop rate per hour", "B1": 80}
    for top, pieces in ((3, 5), (12, 25), (21, 100)):
        lines: tuple[tuple[str, Any], ...] = (
            ("Pieces", pieces), ("Setup hours", 2), ("Minutes a piece", 9), ("Setup", f"=B{top + 1}*$B$1"),
            ("Machining", f"=B{top}*B{top + 2}/60*$B$1"), ("Stock", f"=B{top}*4.2"),
            ("Lot price", f"=SUM(B{top + 3}:B{top + 5})*1.2"), ("Price each", f"=B{top + 6}/B{top}"),
        )  # fmt: skip
        for row, (words, what) in enumerate(lines, top):
            cells |= {f"A{row}": words, f"B{row}": what}
    return cells | changes


def _rates(look: str, **changes: Any) -> dict[str, Any]:
    cells: dict[str, Any] = {"A1": "Machine", "B1": "Rate", "A2": "Mill", "B2": look, "A3": "Hours", "B3": 4}
    cells |= {"A5": "Total price", "B5": "=B2*B3", "E1": "Machine", "F1": "Rate", "G1": "Operators"}
    for row, (name, rate, men) in enumerate((("Saw", 45, 2), ("Mill", 85, 1), ("Lathe", 72, 3), ("Bench", 40, 4)), 2):
        cells |= {f"E{row}": name, f"F{row}": rate, f"G{row}": men}
    return cells | changes


def _breaks(**changes: Any) -> dict[str, Any]:
    """A set-up of 120 spread over 10, 25 and 50 pieces and 14 a piece for the run; prices each 26, 18.80, 16.40."""
    cells: dict[str, Any] = {"A1": "Setup cost", "B1": 120, "A2": "Run cost per piece", "B2": 14}
    cells |= {"A3": "Pieces", "A5": "Unit price", "A6": "Total price"}
    for column, pieces in (("B", 10), ("C", 25), ("D", 50)):
        each = f"=$B$1/{column}3+$B$2"
        cells |= {f"{column}3": pieces, f"{column}5": each, f"{column}6": f"={column}5*{column}3"}
    return cells | changes


_RELATIONS = "xl/worksheets/_rels/sheet1.xml.rels"


def _pointer(kind: str) -> str:
    kinds = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    pointer = f'<Relationship Id="rId9" Type="{kinds}/{kind}" Target="http://a.example/x.png" TargetMode="External"/>'
    return (
        f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{pointer}</Relationships>'
    )


def _ignored(cells: str) -> str:
    return f'<ignoredErrors><ignoredError sqref="{cells}" formula="1"/></ignoredErrors></worksheet>'


def _filtered(book: Any) -> None:
    book["Quote"].auto_filter.ref = "A4:D8"
    book["Quote"].row_dimensions[6].hidden = True


def _locked_and_hidden(book: Any) -> None:
    book["Quote"].protection.set_password("sample")
    book["Costs"].sheet_state = "hidden"


_LOOK = "=VLOOKUP(A2,E2:G5,2,FALSE)"
_SOUND = Case(block())
#: D7 was 8.5 * 85 = 722.5; the total price is (67.5 + 432 + 722.5 + 135) * 1.25 = 1696.25, by hand.
CASES: dict[str, tuple[Case, Case]] = {
    "number-in-run": (Case(block(D7=700), ("D7",), effect=28.125), _SOUND),
    "blank-in-run": (Case(block(D7=None), ("D7",), effect=903.125), _SOUND),
    "text-in-run": (Case(block(D7="TBA"), ("D7",), effect=903.125), Case(block(D7="n/a"))),
    "odd-formula-in-run": (Case(block(D7="=B7*C6"), ("D7",), effect=138.125), _SOUND),
    "short-total": (Case(block(D9="=SUM(D5:D7)"), ("D9",), effect=168.75), _SOUND),
    "counted-twice": (Case(block(D9="=SUM(D5:D8)+D6"), ("D9",), effect=-540.0), _SOUND),
    "stranger-in-total": (
        Case({"A1": "Lot size", "B1": 100, "A2": "Setup cost", "B2": "=5*7", "A3": "Run cost", "B3": "=6*11",
              "A4": "Other cost", "B4": "=3*9", "A5": "Total price", "B5": "=SUM(B1:B4)"}, ("B5",), effect=-100.0),
        Case({"A1": "Lot size", "B1": 100, "A2": "Setup cost", "B2": "=5*7", "A3": "Run cost", "B3": "=6*11",
              "A4": "Other cost", "B4": "=3*9", "A5": "Total price", "B5": "=SUM(B2:B4)"}),
    ),
    # The rates of block() add up to 262, times 1.25, by hand.
    "wide-total": (Case(block(D9="=SUM(C5:D8)"), ("D9",), effect=-327.5), _SOUND),
    "line-outside-total": (
        Case(block(A12="Marking", B12=1, C12=50, D12="=B12*C12"), ("D12",), effect=62.5),
        Case(block(A12="Last year's price", D12=1500)),
    ),
    "drifting-reference": (Case(_anchored("=B{r}*B{s}"), ("C5:C9",)), Case(_anchored("=B{r}*$B$2"))),
    "stuck-reference": (Case(_anchored("=$B$5*$B$2"), ("C5:C9",)), Case(_anchored("=B{r}*$B$2"))),
    "circular-formula": (Case(block(D9="=SUM(D5:D9)"), ("D9",)), _SOUND),
    "iteration-on": (Case(block(), ("",), snapshot={"calculation": Calculation(iterate=True)}), _SOUND),
    "error-value": (Case(block(D11="=D9/D12"), ("D11",)), _SOUND),
    "hushed-error": (
        Case(block(D9="=IFERROR(SUM(D5:D8)/E1,0)", E1=0), ("D9",)),
        Case(block(D9='=IFERROR(SUM(D5:D8),"?")')),
    ),
    "number-as-text": (Case(block(D10="0,25"), ("D10",)), Case(block(F4="Part no.", F5="4711"))),
    "formula-as-text": (Case(block(D7="'=B7*C7"), ("D7",), effect=903.125), Case(block(F7="'=see note"))),
    "percent-slip": (
        Case(block(D10=25), ("D10",), formats={"D10": "0%"}),
        Case(block(), formats={"D10": "0%"}),
    ),
    "buried-figure": (Case(block(D6="=B6*72.5", F1="=C6", C6=72.5), ("D6",)), _SOUND),
    "repeated-figure": (
        Case(block(F1="=D5*1.17", F2="=D6*1.17+1", F3="=SUM(D5:D6)*1.17"), ("F1",)),
        Case(block(F1="=D5*60", F2="=D6*60+1", F3="=SUM(D5:D6)*60")),
    ),
    "figure-against-label": (
        Case(block(A10="Overhead 15%", D10="=D9*0.12", D11="=D9+D10"), ("D10",)),
        Case(block(A10="Overhead 15%", D10="=D9*0.15", D11="=D9+D10")),
    ),
    "loose-lookup": (Case(_rates("=VLOOKUP(A2,E2:G5,2)"), ("B2",)), Case(_rates(_LOOK))),
    "duplicate-key": (Case(_rates(_LOOK, E5="mill"), ("E5",)), Case(_rates(_LOOK))),
    "lookup-column": (Case(_rates("=VLOOKUP(A2,E2:G5,3,FALSE)"), ("B2",), effect=336.0), Case(_rates(_LOOK))),
    "short-lookup": (Case(_rates("=VLOOKUP(A2,E2:G4,2,FALSE)"), ("B2",)), Case(_rates(_LOOK))),
    "unit-mix": (
        Case({"A1": "Work", "B1": "Minutes", "C1": "Rate per hour", "D1": "Amount", "A2": "Mill", "B2": 40, "C2": 60,
              "D2": "=B2*C2", "A4": "Total price", "D4": "=D2"}, ("D2",), effect=-2360.0),
        Case({"A1": "Work", "B1": "Minutes", "C1": "Rate per hour", "D1": "Amount", "A2": "Mill", "B2": 40, "C2": 60,
              "D2": "=B2/60*C2", "A4": "Total price", "D4": "=D2"}),
    ),
    "hidden-value": (
        Case(block(), ("D6",), shape=lambda book: setattr(book["Quote"].row_dimensions[6], "hidden", True)),
        _SOUND,
    ),
    "wrong-function": (
        Case(block(D9="=AVERAGE(D5:D8)"), ("D9",)),
        Case(block(A9="Average cost", D9="=AVERAGE(D5:D8)")),
    ),
    "typed-total": (Case(block(D9=1357), ("D9",), effect=0.0), _SOUND),
    "sign-slip": (
        Case(block(A12="Plating cost", D12=120, D11="=D9*(1+D10)-D12"), ("D11",)),
        Case(block(A12="Plating cost", D12=120, D11="=D9*(1+D10)+D12")),
    ),
    "dead-input": (Case(block(A12="Plating cost", D12=120), ("D12",)), Case(block(A12="Lead time", D12=12))),
    "price-below-cost": (Case(block(D11="=D9*(1-D10)"), ("D11",)), _SOUND),
    "blank-read": (Case(block(D11="=D9*(1+D10)*F3"), ("D11",)), _SOUND),
    "text-read": (Case(block(D11="=D9*(1+D10)+A9"), ("D11",)), _SOUND),
    "outside-link": (Case(block(D11="=D9*[1]Rates!$B$2"), ("D11",)), _SOUND),
    "built-reference": (Case(block(D11='=D9*(1+INDIRECT("D"&10))'), ("D11",)), _SOUND),
    "broken-name": (Case(block(D11="=D9*(1+our_markup)"), ("D11",)), _SOUND),
    "factor-outlier": (
        Case({f"B{row}": rate for row, rate in enumerate((82, 78, 8.5, 90, 85, 80, 76), 2)} | {"B1": "Rate"}, ("B4",)),
        Case({f"B{row}": rate for row, rate in enumerate((82, 78, 85, 90, 85, 80, 76), 2)} | {"B1": "Rate"}),
    ),
    "margin-as-markup": (
        Case(block(A10="Margin"), ("D11",), effect=113.083333333),
        Case(block(A10="Margin", D11="=D9/(1-D10)")),
    ),
    "share-taken-twice": (Case(block(D11="=D12*(1+D10)", D12="=D9*(1+D10)"), ("D11",)), _SOUND),
    "shown-otherwise": (Case(block(), ("D6",), formats={"D6": ";;;"}), _SOUND),
    "unreachable-branch": (
        Case(block(F1="=IF(B5>=10,0.02,IF(B5>=100,0.05,0))"), ("F1",)),
        Case(block(F1="=IF(B5>=100,0.05,IF(B5>=10,0.02,0))")),
    ),
    "diverged-block": (
        Case(_lots(B19="=B18/B3"), ("B19",)),
        Case(_lots(B12=30, B22=3, A30="Setup", B30="=B4*2")),
    ),
    "doubtful-date": (
        Case(block(F1=45, F2=-3), ("F1:F2",), formats={"F1": "yyyy-mm-dd", "F2": "dd/mm/yyyy"}),
        Case(
            block(F1=45000, F2=0.5, F3=45, F4=0),
            formats={"F1": "yyyy-mm-dd", "F2": "h:mm", "F3": '0" days"', "F4": "yyyy-mm-dd"},
        ),
    ),
    "macro-inside": (Case(block(), ("",), snapshot={"has_macros": True}), _SOUND),
    "command-inside": (Case(block(F1="'=program|'topic'!A1"), ("F1",)), _SOUND),
    "data-connection": (Case(block(), ("",), snapshot={"parts": ("xl/connections.xml",)}), _SOUND),
    "embedded-object": (Case(block(), ("",), snapshot={"parts": ("xl/embeddings/object1.bin",)}), _SOUND),
    "names-in-properties": (Case(block(), ("",), snapshot={"properties": {"creator": "A. Sample"}}), _SOUND),
    "personal-number": (
        Case(block(F1="pay to DE89 3704 0044 0532 0130 00"), ("F1",)),  # the published example of the standard
        Case(block(F1="pay to DE88 3704 0044 0532 0130 00")),
    ),
    "loose-talk": (Case(block(F900="to be thrown away"), ("F900",)), _SOUND),
    "misleading-link": (
        Case(block(F1='=HYPERLINK("http://a.example/x","www.b.example")'), ("F1",)),
        Case(block(F1='=HYPERLINK("http://a.example/x","a.example")')),
    ),
    "signature-inside": (Case(block(), ("",), snapshot={"parts": ("_xmlsignatures/sig1.xml",)}), _SOUND),
    "old-data-kept": (Case(block(), ("",), snapshot={"parts": ("xl/pivotCache/pivotCacheRecords1.xml",)}), _SOUND),
    "macintosh-dates": (Case(block(), ("",), snapshot={"calculation": Calculation(date1904=True)}), _SOUND),
    "left-out-of-chain": (Case(block(D9="=D5+D6+D8"), ("D9",), effect=903.125), Case(block(D9="=D5+D6+D7+D8"))),
    "larger-lot-dearer": (
        Case(_breaks(D5="=$B$1/D3+21"), ("D5",)),
        Case(_breaks()),
    ),
    "rounded-on-the-way": (
        Case(block(D5="=ROUND(B5*C5,-2)"), ("D5",), effect=-40.625),
        Case(block(D5="=ROUND(B5*C5,2)")),
    ),
    "date-as-text": (Case(block(F1="03/04/25", F2="=F1+30"), ("F1",)), Case(block(F1="03/04/25"))),
    "long-formula": (Case(block(F1="=IF(B5,IF(B6,IF(B7,IF(B8,1,2),3),4),5)"), ("F1",)), _SOUND),
    "unused-formula": (Case(block(A13="Freight", D13="=B5*30"), ("D13",)), Case(block(A13="Check", D13="=B5*30"))),
    "merged-lines": (
        Case(block(D6=None, D7=500), ("D7:D8",), shape=lambda book: book["Quote"].merge_cells("D7:D8")),
        _SOUND,
    ),
    "filtered-sum": (Case(block(), ("D9",), shape=_filtered), _SOUND),
    "protection-no-secret": (Case(block(**{"Costs!A1": 5}), ("",), shape=_locked_and_hidden), _SOUND),
    "outside-pointer": (
        Case(block(), ("",), parts={_RELATIONS: _pointer("image")}),
        Case(block(), parts={_RELATIONS: _pointer("hyperlink")}),
    ),
    "warnings-switched-off": (
        Case(block(), ("D5:D8",), in_sheet=("</worksheet>", _ignored("D5:D8"))),
        Case(block(), in_sheet=("</worksheet>", _ignored("A5:A8"))),
    ),
    "cell-held-twice": (Case(block(), ("",), snapshot={"duplicates": ("Quote!D5",)}), _SOUND),
    "not-recomputed": (Case(block(D9="=SUMME(D5:D8)"), ("D9",)), _SOUND),
    "cost-in-customer-copy": (
        Case(block(), ("", "A10", "A9", "C4"), snapshot={"properties": {"title": "Quotation"}}),
        Case({"A1": "Quotation", "A3": "Quantity", "B3": "Price each", "A4": 10, "B4": 26.5, "A6": "Terms: at cost of "
              "carriage, no margin for error in the dates"}, snapshot={"properties": {"title": "Quotation"}}),
    ),
    "swollen-workbook": (Case(block(), ("",), snapshot={"styles": (Style(),) * 4001}), _SOUND),
    "value-passed-on": (
        Case(block(K1=0.25, L1="=K1", M1="=L1", N1="=M1", O1="=N1", D10="=O1"), ("D10",)),
        Case(block(K1=0.25, L1="=K1", M1="=L1", N1="=M1", D10="=N1")),
    ),
    "two-answers": (
        Case(block(**{"Summary!A1": "Total price", "Summary!B1": "=SUM(Quote!D5:D8)*(1+Quote!D10)+20"}),
             ("B1",)),
        Case(block(**{"Summary!A1": "Total price", "Summary!B1": "=Quote!D11"})),
    ),
}  # fmt: skip
