"""The kinds of value a field may hold: numbers, whole numbers, text, names, days and flags.

Each kind checks strictly (the text "2h" or the logical true is never an hour) and says in its own
words what it allows, so that an error message and the check can never disagree.
"""

from __future__ import annotations

import math
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

#: No quantity, length or amount of a shop's job comes near it; larger ones are slips, and would overflow.
LARGEST_NUMBER = 1e12
#: A divisor (a feed, a pack, a size) below it is a slip, and would make the quotient overflow.
SMALLEST_POSITIVE = 1e-9
LARGEST_WHOLE = 1_000_000_000
#: Half of what a spreadsheet cell can hold.
LONGEST_TEXT = 16_000
LONGEST_NAME = 80


class Kind(ABC):
    """A kind of value: ``words`` says what is allowed, ``check`` returns the value or raises ValueError."""

    @property
    @abstractmethod
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""

    @abstractmethod
    def check(self, value: object) -> Any:
        """Return the value in its final type, or raise ValueError."""

    def _validate(self, value: object) -> Any:
        try:
            return self.check(value)
        except (ValueError, OverflowError) as error:
            raise PydanticCustomError("not_allowed", "{allowed}", {"allowed": self.words}) from error

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Let pydantic call this kind and nothing else."""
        return core_schema.no_info_plain_validator_function(self._validate)


def as_a_cell_holds_it(number: float) -> float:
    """Return a number with 15 significant digits: more are lost when a spreadsheet program saves the cell."""
    return float(f"{number:.15g}")


@dataclass(frozen=True)
class Number(Kind):
    """A finite number from ``low`` to ``high``; the ends belong to it unless said otherwise."""

    noun: str
    low: float = 0.0
    high: float = LARGEST_NUMBER
    below_high: bool = False

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        if self.low == SMALLEST_POSITIVE:
            return f"{self.noun} above 0"
        if self.below_high:
            return f"{self.noun} of {self.low:g} or more and below {self.high:g}"
        if self.high == LARGEST_NUMBER:
            return f"{self.noun} of {self.low:g} or more"
        return f"{self.noun} from {self.low:g} to {self.high:g}"

    def check(self, value: object) -> float:
        """Return the number as a float of 15 significant digits."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError("not a number")
        number = as_a_cell_holds_it(float(value))
        if not math.isfinite(number) or not self.low <= number <= self.high:
            raise ValueError("out of range")
        if self.below_high and number >= self.high:
            raise ValueError("at or above the end")
        return number


@dataclass(frozen=True)
class Whole(Kind):
    """A whole number from ``low`` to ``high``; 5.0 is taken for 5, because spreadsheets know no other 5."""

    noun: str
    low: int = 0
    high: int = LARGEST_WHOLE

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        if self.high == LARGEST_WHOLE:
            return f"{self.noun}, a whole number of {self.low} or more"
        return f"{self.noun}, a whole number from {self.low} to {self.high}"

    def check(self, value: object) -> int:
        """Return the number as an int."""
        if isinstance(value, bool) or not isinstance(value, int | float) or value != int(value):
            raise ValueError("not a whole number")
        if not self.low <= value <= self.high:
            raise ValueError("out of range")
        return int(value)


def _has_unprintable(text: str) -> bool:
    """Tell whether no sheet and no file could hold the text: control characters, half characters."""
    return any(
        (ord(c) < 32 and c not in "\t\n") or 0x7F <= ord(c) < 0xA0 or 0xD800 <= ord(c) < 0xE000 or c in "\ufffe\uffff"
        for c in text
    )


@dataclass(frozen=True)
class Words(Kind):
    """Free text, several lines if need be; all line ends become one kind."""

    noun: str = "text"
    shortest: int = 0
    longest: int = LONGEST_TEXT

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        least = f"at least {self.shortest} and " if self.shortest else ""
        return f"{self.noun} of {least}at most {self.longest} characters, without control characters"

    def check(self, value: object) -> str:
        """Return the text with line feeds as line ends, without blanks around it: on a sheet nobody sees them."""
        if not isinstance(value, str) or not self.shortest <= len(value) <= self.longest:
            raise ValueError("not such a text")
        text = value.replace("\r\n", "\n").replace("\r", "\n").strip()
        if _has_unprintable(text) or (self.shortest and not text):
            raise ValueError("unprintable or blank")
        return text


@dataclass(frozen=True)
class Label(Kind):
    """A name that other lines refer to, and that a spreadsheet's lookup must find again.

    A lookup reads ``*``, ``?`` and ``~`` as wildcards and a leading ``=``, ``<`` or ``>`` as a
    comparison, and nobody sees a blank at the end: such names are refused.
    """

    noun: str = "a name"

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        return (
            f"{self.noun} of 1 to {LONGEST_NAME} characters on one line that begins with a letter or a digit, "
            "does not end with a blank and holds none of * ? ~"
        )

    def check(self, value: object) -> str:
        """Return the name as it is."""
        if not isinstance(value, str) or not 0 < len(value) <= LONGEST_NAME:
            raise ValueError("not a name")
        if not value[0].isalnum() or value != value.strip() or any(c in value for c in "*?~\t\n\r"):
            raise ValueError("not such a name")
        if _has_unprintable(value):
            raise ValueError("unprintable")
        return value


@dataclass(frozen=True)
class CurrencyCode(Kind):
    """Three capital letters."""

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        return 'a currency code of three capital letters, such as "USD"'

    def check(self, value: object) -> str:
        """Return the code as it is."""
        if not isinstance(value, str) or re.fullmatch("[A-Z]{3}", value) is None:
            raise ValueError("not a code")
        return value


@dataclass(frozen=True)
class Day(Kind):
    """A day without a time: a date, or its text as year-month-day (JSON has no dates)."""

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        return "a day from 1900-03-01 on, written year-month-day, such as 2031-05-20"

    def check(self, value: object) -> date:
        """Return the day."""
        if isinstance(value, str) and len(value) == 10:
            value = date.fromisoformat(value)
        if not isinstance(value, date) or isinstance(value, datetime) or value < FIRST_DAY:
            raise ValueError("not a day")
        return value


#: Spreadsheet programs disagree about the days before it (some count a 29 February 1900).
FIRST_DAY = date(1900, 3, 1)


@dataclass(frozen=True)
class YesNo(Kind):
    """A logical value."""

    @property
    def words(self) -> str:
        """What is allowed, to follow the word "expected"."""
        return "true or false"

    def check(self, value: object) -> bool:
        """Return the logical value."""
        if not isinstance(value, bool):
            raise ValueError("not a logical value")
        return value


Text = Annotated[str, Words()]
TextNotBlank = Annotated[str, Words("text", shortest=1)]
Name = Annotated[str, Label()]
Code = Annotated[str, CurrencyCode()]
Symbol = Annotated[str, Words("a currency symbol", shortest=1, longest=4)]
Date = Annotated[date, Day()]
Flag = Annotated[bool, YesNo()]

Money = Annotated[float, Number("an amount of money")]
MoneyStep = Annotated[float, Number("a step of money", low=SMALLEST_POSITIVE)]
Rate = Annotated[float, Number("money per hour")]
Hours = Annotated[float, Number("hours")]
Minutes = Annotated[float, Number("minutes")]
Seconds = Annotated[float, Number("seconds")]
Length = Annotated[float, Number("a length")]
Size = Annotated[float, Number("a length", low=SMALLEST_POSITIVE)]
Volume = Annotated[float, Number("a volume")]
PerMinute = Annotated[float, Number("an amount per minute", low=SMALLEST_POSITIVE)]
Weight = Annotated[float, Number("a weight", low=SMALLEST_POSITIVE)]
Density = Annotated[float, Number("a density in g/cm3", low=0.1, high=25.0)]
Quantity = Annotated[float, Number("a number", low=SMALLEST_POSITIVE)]
MarkupShare = Annotated[float, Number("a share (0.15 means 15 %)", high=5.0)]
ShareBelowOne = Annotated[float, Number("a share (0.05 means 5 %)", high=1.0, below_high=True)]
WholeShare = Annotated[float, Number("a share (0.8 means 80 %)", high=1.0)]
ShareAboveZero = Annotated[float, Number("a share (0.8 means 80 %)", low=0.001, high=1.0)]
LearningShare = Annotated[float, Number("a learning rate (0.9 means 90 %)", low=0.51, high=1.0)]
ShiftHours = Annotated[float, Number("hours a day", low=0.5, high=24.0)]
Exponent = Annotated[float, Number("an exponent", low=0.01, high=0.9)]
Force = Annotated[float, Number("a specific cutting force in N/mm2", low=1.0)]
Power = Annotated[float, Number("a power", low=SMALLEST_POSITIVE)]
Rpm = Annotated[float, Number("revolutions per minute", low=1.0)]
MinutesAboveZero = Annotated[float, Number("minutes", low=0.001)]
Attendance = Annotated[float, Number("a share of the machine's time (1 means always there)", high=2.0)]

Count = Annotated[int, Whole("a count")]
Pieces = Annotated[int, Whole("pieces")]
PiecesFromOne = Annotated[int, Whole("pieces", low=1)]
Days = Annotated[int, Whole("days")]
OperationNumber = Annotated[int, Whole("an operation number", low=1)]
Decimals = Annotated[int, Whole("decimals of the currency", high=4)]
Interest = Annotated[int, Whole("interest in the job", high=3)]
