"""The supplier whose name stands on papers and builders' pages, from the settings."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings


@dataclass(frozen=True, slots=True)
class Company:
    """Name and address of the supplier; `paper_size` is "letter" or "a4"."""

    name: str
    street: str
    city: str
    phone: str
    email: str
    paper_size: str

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(part for part in (self.street, self.city, self.phone, self.email) if part)

    @property
    def context(self) -> dict[str, str]:
        """What the builders' base template shows."""
        return {"company_name": self.name, "company_phone": self.phone}


def company() -> Company:
    """The company of this installation."""
    return Company(**settings.SPANYARD_COMPANY)
