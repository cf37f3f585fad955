"""Numbers, days and words of a price book document: what each may be, and how a wrong one is refused. Pure."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Final

from pydantic import AfterValidator, BeforeValidator, Field

FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def harmless(text: str) -> str:
    """The text as it stands. Raises ValueError where a spreadsheet would run it, or a sign can't be shown."""
    if text.lstrip(" ").startswith(FORMULA_SIGNS):
        raise ValueError(f"“{text[:20]}” begins like a formula; begin it with a letter or a number")
    if any(unicodedata.category(sign) == "Cc" for sign in text):
        raise ValueError("it holds a sign that can't be shown; type it anew")
    if text != text.strip() or not text:
        raise ValueError("it begins or ends with a space, or is empty")
    return text


def _typed_number(value: Any) -> Any:
    """Yes and no are no numbers, though they count as 1 and 0."""
    if isinstance(value, bool):
        raise ValueError(f"must be a number; it is {str(value).lower()}")
    return value


def _typed_day(value: Any) -> Any:
    """A day as it is written everywhere here; a bare number would be taken for seconds since 1970."""
    if isinstance(value, date):
        return value
    if isinstance(value, str) and DAY_SHAPE.fullmatch(value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise ValueError(f"{value} is no day of the calendar") from None
    raise ValueError(f"must be a day like 2027-01-31; it is {str(value)[:40]}")


def _unsigned(value: Decimal) -> Decimal:
    """A minus before nothing says nothing."""
    return value or abs(value)


def harmless_or_none(text: str) -> str:
    return harmless(text) if text else text


DAY_SHAPE: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_Number = Annotated[Decimal, BeforeValidator(_typed_number)]
Whole = Annotated[int, BeforeValidator(_typed_number)]
Day = Annotated[date, BeforeValidator(_typed_day)]
Share = Annotated[_Number, Field(ge=0, lt=1, max_digits=5, decimal_places=4), AfterValidator(_unsigned)]
TaxShare = Annotated[_Number, Field(ge=0, lt=1, max_digits=6, decimal_places=5), AfterValidator(_unsigned)]
Rate = Annotated[_Number, Field(ge=0, max_digits=12, decimal_places=4), AfterValidator(_unsigned)]
Price = Annotated[_Number, Field(max_digits=12, decimal_places=4), AfterValidator(_unsigned)]
Money = Annotated[_Number, Field(ge=0, max_digits=12, decimal_places=2), AfterValidator(_unsigned)]
Fare = Annotated[_Number, Field(max_digits=12, decimal_places=2), AfterValidator(_unsigned)]
Miles = Annotated[_Number, Field(ge=0, max_digits=7, decimal_places=1), AfterValidator(_unsigned)]
Word12 = Annotated[str, Field(min_length=1, max_length=12), AfterValidator(harmless)]
Word16 = Annotated[str, Field(min_length=1, max_length=16), AfterValidator(harmless)]
Word20 = Annotated[str, Field(min_length=1, max_length=20), AfterValidator(harmless)]
Word40 = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(harmless)]
Word60 = Annotated[str, Field(min_length=1, max_length=60), AfterValidator(harmless)]
Word80 = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(harmless)]
Word160 = Annotated[str, Field(min_length=1, max_length=160), AfterValidator(harmless)]
Why200 = Annotated[str, Field(max_length=200), AfterValidator(harmless_or_none)]
