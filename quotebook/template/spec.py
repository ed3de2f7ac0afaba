"""What a template may say: sheets made of blocks, blocks made of fields.

Four kinds of block:

* a form: fields below each other, label, value, unit, remark;
* a table: fields as columns, a fixed number of rows (its capacity);
* a series: fields as rows, one column for the first piece alone and one for each quantity break;
* a text: lines to read.

A field is an input (typed by people; ``bind`` says where its value comes from) or a formula.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

#: What a value is, which decides number format, validation and conversion.
FieldType = Literal[
    "text", "long text", "choice", "yesno", "date", "money", "unit price", "rate", "hours", "minutes", "seconds",
    "pieces", "count", "number", "share", "length", "weight", "days",
]  # fmt: skip


class _Data(BaseModel):
    # Built at first use: reading a workbook needs few of these.
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class FieldSpec(_Data):
    """One named field of a form, a table or a series."""

    name: str = Field(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)+$", description="lower case words joined by underscores")
    label: str
    type: FieldType = "text"
    unit: str = Field(default="", description="text, or a formula beginning with =")
    bind: str = Field(default="", description="path into the data: job.stock.form, or the key inside a table's row")
    formula: str = Field(default="", description="in field names; empty for an input")
    given: bool = Field(default=False, description="filled in when the workbook is made, then locked; not typed")
    first: str = Field(default="", description="series only: formula of the first-piece column, if another")
    choices: tuple[str, ...] = ()
    choices_from: str = Field(default="", description="name of the column that holds the allowed values")
    open_choice: bool = Field(default=False, description="a value that is not on the list may be typed")
    minimum: float | None = None
    above: float | None = Field(default=None, description="must be greater than this")
    maximum: float | None = None
    below: float | None = Field(default=None, description="must be less than this")
    needed: Literal["", "price", "quotation"] = Field(default="", description="counted on the Start sheet while blank")
    note: str = Field(default="", description="shown beside the cell when it is pointed at")
    beside: str = Field(default="", description="forms only: formula of a remark on the right, as what a blank means")
    per_lot: bool = Field(default=False, description="table only: one column for each lot")
    width: float = 12
    show_zero: bool = False
    emphasis: Literal["", "total", "state"] = ""
    volatile: bool = Field(default=False, description="changes with the day, on purpose")

    @property
    def is_input(self) -> bool:
        """Tell whether people type this field."""
        return not self.formula

    @property
    def holds_words(self) -> bool:
        """Tell whether the field holds words, not a number or a date."""
        return self.type in ("text", "long text", "choice", "yesno")

    @model_validator(mode="after")
    def _inputs_are_bound(self) -> FieldSpec:
        if self.is_input and not self.bind:
            raise ValueError(f"{self.name}: an input needs 'bind', a formula field needs 'formula'")
        if self.formula and self.bind:
            raise ValueError(f"{self.name}: has both 'bind' and 'formula'")
        return self


class FormBlock(_Data):
    """Fields below each other."""

    kind: Literal["form"]
    title: str
    hint: str = ""
    new_page: bool = False
    fields: tuple[FieldSpec, ...] = Field(alias="field")


class TableBlock(_Data):
    """Fields as columns; ``capacity`` names the number of rows in the template's capacities."""

    kind: Literal["table"]
    title: str
    hint: str = ""
    new_page: bool = False
    capacity: str
    bind: str = ""
    extra_rows: int = Field(default=0, description="rows on top of the capacity")
    align: str = Field(default="", description="capacity whose rows this table follows row by row")
    key: str = Field(default="", description="field that must be filled for a row to count")
    print_to: str = Field(default="", description="last column that is printed; the rest are workings for the screen")
    columns: tuple[FieldSpec, ...] = Field(alias="column")


class SeriesBlock(_Data):
    """Fields as rows over the lots: the first piece alone, then each quantity break."""

    kind: Literal["series"]
    title: str
    hint: str = ""
    new_page: bool = False
    rows: tuple[FieldSpec, ...] = Field(alias="row")


class TextBlock(_Data):
    """Lines to read; a line may be a formula beginning with =."""

    kind: Literal["text"]
    title: str = ""
    new_page: bool = False
    lines: tuple[str, ...]


class CheckSpec(_Data):
    """One line of a checklist."""

    name: str = Field(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)+$")
    label: str
    count: str = Field(description="formula: how many are wrong or missing")
    stops: Literal["price", "quotation", "nothing"]
    sheet: str = Field(description="title of the sheet to go to")
    field: str = Field(description="field to jump to")


class ChecklistBlock(_Data):
    """What is still missing or suspicious: one line each, counted live, with a jump to the sheet."""

    kind: Literal["checklist"]
    title: str
    hint: str = ""
    new_page: bool = False
    total: str = Field(description="defined name of the sum of all counts that stop the price")
    total_label: str = "Missing for the price"
    total_quotation: str = Field(default="", description="the same of all counts that stop the quotation")
    total_look: str = Field(default="", description="the same of all counts that stop nothing")
    total_look_label: str = "Worth a look"
    checks: tuple[CheckSpec, ...] = Field(alias="check")


class ChartSpec(_Data):
    """A chart over series rows with the quantity breaks along the axis, or over columns of one table."""

    title: str
    kind: Literal["column", "stacked column"]
    series: tuple[str, ...]
    labels: tuple[str, ...]
    categories: str
    value_axis: str
    category_axis: str


class ChartsBlock(_Data):
    """Charts side by side, on rows kept free for them."""

    kind: Literal["charts"]
    title: str = ""
    new_page: bool = False
    charts: tuple[ChartSpec, ...] = Field(alias="chart")


Block = Annotated[
    FormBlock | TableBlock | SeriesBlock | TextBlock | ChecklistBlock | ChartsBlock, Field(discriminator="kind")
]


class SheetSpec(_Data):
    """One sheet: what it is for, and its blocks from top to bottom."""

    title: str = Field(pattern=r"^[A-Z][A-Za-z ]{2,30}$")
    purpose: str
    orientation: Literal["portrait", "landscape"] = "landscape"
    one_page: bool = Field(default=True, description="fit on one page; else one page wide")
    caution: str = ""
    label_width: float = 34
    value_width: float = 18
    customer_page: bool = Field(default=False, description="goes to the customer: no status line, nothing of the cost")
    blocks: tuple[Block, ...] = Field(alias="block")


class TemplateSpec(_Data):
    """A whole template."""

    name: str
    title: str
    revision: int = Field(ge=1)
    purpose: str
    sheets: tuple[SheetSpec, ...]
    capacities: dict[str, int]
    limits: dict[str, int] = Field(description="the most rows that may be asked for")
