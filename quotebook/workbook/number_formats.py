"""Number formats: the built-in ones by their number, and which of all formats show dates or times.

Source of the built-in table: ECMA-376 part 1, 18.8.30.
"""

from __future__ import annotations

import re
from functools import lru_cache

_BUILT_IN = {
    0: "General",
    1: "0",
    2: "0.00",
    3: "#,##0",
    4: "#,##0.00",
    5: '"$"#,##0_);("$"#,##0)',
    6: '"$"#,##0_);[Red]("$"#,##0)',
    7: '"$"#,##0.00_);("$"#,##0.00)',
    8: '"$"#,##0.00_);[Red]("$"#,##0.00)',
    9: "0%",
    10: "0.00%",
    11: "0.00E+00",
    12: "# ?/?",
    13: "# ??/??",
    14: "mm-dd-yy",
    15: "d-mmm-yy",
    16: "d-mmm",
    17: "mmm-yy",
    18: "h:mm AM/PM",
    19: "h:mm:ss AM/PM",
    20: "h:mm",
    21: "h:mm:ss",
    22: "m/d/yy h:mm",
    37: "#,##0_);(#,##0)",
    38: "#,##0_);[Red](#,##0)",
    39: "#,##0.00_);(#,##0.00)",
    40: "#,##0.00_);[Red](#,##0.00)",
    41: r'_(* #,##0_);_(* \(#,##0\);_(* "-"_);_(@_)',
    42: r'_("$"* #,##0_);_("$"* \(#,##0\);_("$"* "-"_);_(@_)',
    43: r'_(* #,##0.00_);_(* \(#,##0.00\);_(* "-"??_);_(@_)',
    44: r'_("$"* #,##0.00_);_("$"* \(#,##0.00\);_("$"* "-"??_);_(@_)',
    45: "mm:ss",
    46: "[h]:mm:ss",
    47: "mmss.0",
    48: "##0.0E+0",
    49: "@",
}
#: Numbers 27 to 36 and 50 to 58 are dates whose look depends on the language of the program.
_LOCAL_DATES = frozenset((*range(27, 37), *range(50, 59)))
_NOT_CODE = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!h+\]|m+\]|s+\])[^\]]*\]|General', re.IGNORECASE | re.DOTALL)
_DATE_LETTER = re.compile(r"[dmyhs]", re.IGNORECASE)


def built_in_format(number: int) -> str:
    """Return the text of a built-in format; "General" for a number without a meaning."""
    return "mm-dd-yy" if number in _LOCAL_DATES else _BUILT_IN.get(number, "General")


@lru_cache(maxsize=1024)
def is_date_format(code: str) -> bool:
    """Tell whether a format shows a number as a date or a time (judged by its first section)."""
    return bool(_DATE_LETTER.search(_NOT_CODE.sub("", code).partition(";")[0]))
