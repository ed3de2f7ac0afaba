"""What a check says of itself, and what it gives back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as filled
from enum import Enum
from typing import NamedTuple

from quotebook.values import Address, Value


class Severity(Enum):
    """How bad a finding is, the worst first; the words are those of reports and JSON."""

    DO_NOT_QUOTE = "do not quote"
    """The price cannot be trusted, or the file is not safe."""
    PROBABLY_WRONG = "probably wrong"
    """The price is probably wrong."""
    LOOK_AT_IT = "look at it"
    """It may be wrong, or it will go wrong."""
    REMARK = "remark"
    """Worth knowing; nothing need be done."""

    @property
    def rank(self) -> int:
        """Return 0 for the worst level, 3 for a remark."""
        return _RANKS[self]

    @property
    def is_grave(self) -> bool:
        """Tell whether it is one of the two highest levels, which must be backed by two kinds of evidence."""
        return self.rank < 2


_RANKS = {severity: rank for rank, severity in enumerate(Severity)}


class Need(Enum):
    """What a check cannot do without; an unmet need makes it *not judged* (or skipped, for NO_CONTRACT)."""

    CONTRACT = "a contract of quotebook in the workbook"
    NO_CONTRACT = "a workbook without a contract"
    RECOMPUTED = "formulas that can be recomputed"
    PRICE = "a known price cell"
    MODELS = "inputs that make a valid job and shop profile"


#: For checks that need nothing.
ANY: tuple[Need, ...] = ()


class When(Enum):
    """Whether the fault is in today's figures or waits for a change."""

    WRONG_NOW = "wrong now"
    WILL_GO_WRONG = "will go wrong"


class Kind(Enum):
    """How such a fault comes about."""

    HAND_SLIP = "hand slip"
    POINTING = "pointing"
    REASONING = "reasoning"
    LEFT_OUT = "left out"
    BENT_RULE = "bent rule"
    STALE = "stale"
    FILE = "file"


@dataclass(frozen=True, slots=True)
class Check:
    """A check's declaration. ``name`` names the fault and reads well after the word "allow".

    ``rows``: rows of the catalogue that it covers. ``severity``: its usual level; a finding may carry another.
    """

    name: str
    severity: Severity
    needs: tuple[Need, ...] = ANY
    when: When = When.WRONG_NOW
    kind: Kind = Kind.HAND_SLIP
    rows: tuple[str, ...] = ()


class Proof(Enum):
    """Kinds of evidence. Without a contract the two highest levels need two kinds, or a FACT."""

    FACT = "fact"
    """Certain by itself, such as an error in the price or a macro in the file."""
    CONTRACT = "contract"
    SHAPE = "shape"
    """How formulas, constants and blanks stand beside each other."""
    VALUE = "value"
    LABEL = "label"
    EFFECT = "effect"
    """How the price responds when an input is nudged."""


class Evidence(NamedTuple):
    """One reason to believe a finding."""

    proof: Proof
    text: str

    def __str__(self) -> str:
        return f"{self.proof.value}: {self.text}"


class Formula(NamedTuple):
    """A formula, without its equals sign, that a cell should hold."""

    text: str


#: A defined name: title of its sheet, or None for the whole workbook, and the name.
NameKey = tuple[str | None, str]
#: What a cell should hold to be right: a formula, a constant, or None for a blank.
Mended = Formula | Value


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong at one place. The report makes the sentences, so that the tone is the same everywhere.

    ``sheet`` and ``cells`` (one A1 cell or range): "" for the workbook as a whole. ``found`` and ``expected``: short
    texts as a person reads them. ``effect_on_price``: the price with the cells put right minus the price as found, None
    where unknown; the runner works it out from ``put_right`` (and ``put_right_names``: text of
    defined names, None to remove one) when a check leaves it None.

    For folding: findings of one check with one ``alike`` on neighbouring cells become one; a finding is folded into an
    at least equally strong one of its own cells, or into one that stands on a cell of ``explained_by``.
    ``if_harmless``: the level when putting it right moves no price.
    """

    check: str
    severity: Severity
    sheet: str
    cells: str
    found: str
    expected: str
    mend: str
    field: str = ""
    effect_on_price: float | None = None
    evidence: tuple[Evidence, ...] = ()
    put_right: Mapping[Address, Mended] = filled(default_factory=dict)
    put_right_names: Mapping[NameKey, str | None] = filled(default_factory=dict)
    if_harmless: Severity | None = None
    alike: str = ""
    explained_by: frozenset[Address] = frozenset()
