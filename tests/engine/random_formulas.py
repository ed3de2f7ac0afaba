"""Formulas made up at random over the data of the tables, the same ones for the same seed.

Left out is what LibreOffice is known to do otherwise (see the remarks in ``cases``): logicals as numbers, searching for
an empty text, ranks of numbers that are not there, multiples with mixed signs,
whole percentages of a number that ends in a half, days after the year 9999.
"""

from __future__ import annotations

from random import Random

NUMBERS = (
    "A1",
    "A2",
    "A5",
    "A6",
    "C1",
    "C3",
    "E4",
    "H1",
    "J2",
    "0",
    "1",
    "2.5",
    "-3",
    "0.1",
    "1.005",
    "7",
    "Price",
    "Factor",
)
TEXTS = ("B1", "B2", "A7", "F3", "B6", '"a"', '"mill"', '""', '"Lathe 3"', "G3", '"x y  z "')
RANGES = ("C1:C5", "A1:A5", "E1:E5", "I1:J5", "C1:C10", "A1:A7", "L1:L3", "C:C", "Tens", "A5:A7")
TEXT_CRITERIA = (
    '"mill"',
    '"m*"',
    '"*l"',
    '"<>mill"',
    '""',
    '"?????"',
    "B1",
    '"<>"',
    '"="',
    '"x"',
    '">k"',
    "F1",
    '"Mill 2"',
)
NUMBER_CRITERIA = ('">2"', '"<=3.5"', "2.5", '"<>2.5"', '">="&C2', '"<"&A1', "C3", '"=4.5"', '"<>"')
FORMATS = (
    '"0"',
    '"0.00"',
    '"#,##0"',
    '"#,##0.00"',
    '"0.0%"',
    '"$#,##0.00"',
    '"0.00;(0.00)"',
    '"0.0##"',
    '"000"',
)
COMPARISONS = ("=", "<>", "<", ">", "<=", ">=")

#: {n} a number, {t} a text, {c} a condition, {r} a range, {x} and {y} criteria for text and numbers, {f} a format.
NUMBER_FORMS = (
    "({n}+{n})", "({n}-{n})", "{n}*{n}", "{n}/{n}", "-{n}", "{n}^2", "{n}^0.5", "ROUND({n},2)", "ROUND({n},-1)",
    "ROUNDUP({n},1)", "ROUNDDOWN({n},1)", "INT({n})", "TRUNC({n},1)", "CEILING({n},0.05)", "FLOOR({n},0.05)",
    "ABS({n})",
    "SUM({r},{n})", "MAX({r},{n})", "MIN({r},{n})", "AVERAGE({r})", "COUNT({r})", "COUNTA({r})", "MEDIAN({r})",
    "SUMIF(B1:B10,{x},C1:C10)", "SUMIFS(C1:C10,B1:B10,{x},C1:C10,{y})", "COUNTIF(B1:B10,{x})", "COUNTIF(C1:C10,{y})",
    "COUNTIFS(B1:B10,{x},C1:C10,{y})", "MAXIFS(C1:C5,B1:B5,{x})", "AVERAGEIF(B1:B5,{x},C1:C5)", "IF({c},{n},{n})",
    "IFERROR({n},{n})", "{n}%",
    "SUMPRODUCT((B1:B5={t})*C1:C5)", "SUMPRODUCT((C1:C5>{n})*I1:I5,J1:J5)", "MATCH({n},E1:E5,1)",
    "MATCH({t},B1:B5,0)", "INDEX(C1:C5,MATCH({n},E1:E5))", "VLOOKUP({n},E1:F5,1)", "LEN({t})", "MOD({n},7)",
    "SQRT({n})", "LARGE({r},2)", "CHOOSE(2,{n},{n})", "MONTH(H1+{n})", "WEEKDAY(H1+{n})", "NETWORKDAYS(H3,H1+{n})",
    "WORKDAY(H1,17)",
    "SUM(INDEX(A1:C5,0,3))", "SUBTOTAL(9,{r})", "STDEV({r})",
)  # fmt: skip
TEXT_FORMS = (
    "({t}&{t})", "({t}&{n})", "LEFT({t},2)", "RIGHT({t},2)", "MID({t},2,3)", "UPPER({t})", "LOWER({t})", "TRIM({t})",
    'SUBSTITUTE({t},"l","LL")', "TEXT({n},{f})", "IF({c},{t},{t})", 'IFERROR({t},"err")', "REPT({t},2)", "PROPER({t})",
    "CONCATENATE({t},{n})", "VLOOKUP({n},E1:F5,2)", "INDEX(B1:B5,3)", 'TEXTJOIN("-",TRUE,B1:B7,{t})',
)  # fmt: skip
CONDITION_FORMS = (
    "{n}{o}{n}", "{t}{o}{t}", "AND({c},{c})", "OR({c},{c})", "NOT({c})", "ISBLANK(A6)", "ISBLANK(G3)", "ISNUMBER({n})",
    "ISERROR({n})", 'A6=""', "B6=0",
)  # fmt: skip


class Maker:
    """Makes formulas; nested ones are one level shallower each."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)

    def formula(self) -> str:
        """Return a formula of a random kind."""
        return self.part(self.random.choice("nntc"), 3)

    def part(self, kind: str, depth: int) -> str:
        """Return a piece of a formula of one kind."""
        plain = {"r": RANGES, "x": TEXT_CRITERIA, "y": NUMBER_CRITERIA, "f": FORMATS, "o": COMPARISONS}
        if kind in plain:
            return self.random.choice(plain[kind])
        if kind in "nt" and (depth <= 0 or self.random.random() < 0.25):
            return self.random.choice(NUMBERS if kind == "n" else TEXTS)
        if depth <= 0:
            return self.random.choice(("A1>5", "A6=0", "C3>9"))
        form = self.random.choice({"n": NUMBER_FORMS, "t": TEXT_FORMS, "c": CONDITION_FORMS}[kind])
        pieces = form.split("{")
        made = [pieces[0]]
        for piece in pieces[1:]:
            inner, rest = piece.split("}", 1)
            made += [self.part(inner, depth - 1), rest]
        return "".join(made)
