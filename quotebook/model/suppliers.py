"""The shop's list of suppliers: who can be asked for what."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, Self

from pydantic import Field, model_validator

from quotebook.model.base import Part
from quotebook.model.fields import Date, Name, Text
from quotebook.model.names import name_key
from quotebook.model.problems import Problem, refuse
from quotebook.model.reading import read_part

Serves = Literal["stock", "outside processing", "hardware"]
EVERYTHING: tuple[Serves, ...] = ("stock", "outside processing", "hardware")


class Supplier(Part):
    """One supplier. ``serves``: kinds of lines it can quote; ``lines``: if given, only lines of these names."""

    name: Name
    contact: Text = ""
    serves: tuple[Serves, ...] = EVERYTHING
    lines: tuple[Name, ...] = ()
    note: Text = ""

    def can_quote(self, line: str, kind: str) -> bool:
        """Tell whether this supplier is asked for a line of that name and kind."""
        if self.lines:
            return name_key(line) in {name_key(name) for name in self.lines}
        return kind in self.serves


class SupplierList(Part):
    """The suppliers of a file, called ``[[supplier]]`` there; ``answer_by`` is printed on every request."""

    answer_by: Date | None = None
    note: Text = ""
    suppliers: tuple[Supplier, ...] = Field(default=(), validation_alias="supplier", serialization_alias="supplier")

    @model_validator(mode="after")
    def _names_differ(self) -> Self:
        keys = [name_key(one.name) for one in self.suppliers]
        twice = [
            Problem(
                ("supplier", index, "name"), self.suppliers[index].name, "each supplier once", "Remove one of them."
            )
            for index, key in enumerate(keys)
            if key in keys[:index]
        ]
        refuse(twice, self)
        return self


def read_suppliers(path: str | Path) -> SupplierList:
    """Read a list of suppliers from a .toml or .json file. Errors: InputError with every problem."""
    return read_part(SupplierList, path)
