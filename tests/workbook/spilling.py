"""Blocked results as spreadsheet programs store them, put into a workbook that XlsxWriter made."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

#: The ways of storing #SPILL!: as an error of its own, and as the #VALUE! of older programs with a rich value that says
#: the rest, with and without the place of what blocks it.
BLOCKED = ("plain text", "rich value", "rich value without a place")
_RICH = "http://schemas.microsoft.com/office/spreadsheetml/2017/richdata"
_KIND = "http://schemas.microsoft.com/office/2017/06/relationships"
_VALUES = (
    '<futureMetadata name="XLRICHVALUE" count="1"><bk><extLst><ext uri="{3e2802c4-a4d2-4d8b-9148-e3be6c30e623}">'
    f'<x:rvb xmlns:x="{_RICH}" i="0"/></ext></extLst></bk></futureMetadata>'
)


def with_blocked(path: Path, way: str) -> Path:
    """Return a copy in which the first array formula of the first sheet shows #SPILL!, blocked two rows below."""
    rich = way != "plain text"
    place = ("<v>0</v>", "<v>2</v>") if way == "rich value" else ("", "")
    keys = '<k n="colOffset" t="i"/><k n="errorType" t="i"/><k n="rwOffset" t="i"/>' if place[0] else (
        '<k n="errorType" t="i"/>'
    )  # fmt: skip
    target = path.with_name(f"blocked-{path.name}")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name).decode()
            if name == "xl/worksheets/sheet1.xml":
                value = "#VALUE!" if rich else "#SPILL!"
                mark = ' t="e" cm="1" vm="1"' if rich else ' t="e" cm="1"'
                data = re.sub(r' cm="1">(<f [^>]*>[^<]*</f>)<v>[^<]*</v>', rf"{mark}>\1<v>{value}</v>", data, count=1)
            elif name == "xl/metadata.xml" and rich:
                data = data.replace("</metadataTypes>", '<metadataType name="XLRICHVALUE"/></metadataTypes>')
                data = data.replace("<cellMetadata", f"{_VALUES}<cellMetadata")
                data = data.replace(
                    "</metadata>", '<valueMetadata count="1"><bk><rc t="2" v="0"/></bk></valueMetadata></metadata>'
                )
            elif name == "xl/_rels/workbook.xml.rels" and rich:
                parts = {"rdRichValue": "rdrichvalue", "rdRichValueStructure": "rdrichvaluestructure"}
                links = "".join(
                    f'<Relationship Id="rIdR{number}" Type="{_KIND}/{kind}" Target="richData/{part}.xml"/>'
                    for number, (kind, part) in enumerate(parts.items())
                )
                data = data.replace("</Relationships>", f"{links}</Relationships>")
            new.writestr(name, data)
        if rich:
            value = f'<rv s="0">{place[0]}<v>8</v>{place[1]}<v>1</v></rv>'
            new.writestr("xl/richData/rdrichvalue.xml", f'<rvData xmlns="{_RICH}" count="1">{value}</rvData>')
            shape = f'<s t="_error">{keys}<k n="subType" t="i"/></s>'
            structures = f'<rvStructures xmlns="{_RICH}" count="1">{shape}</rvStructures>'
            new.writestr("xl/richData/rdrichvaluestructure.xml", structures)
    return target
