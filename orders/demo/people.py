"""The demo's staff and builders; every name, place and number is invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from framing.common.models import Role, User
from framing.projects.services import SiteAddress

PASSWORD: Final = "joists every sixteen inches"  # noqa: S105  # the demo's one password, printed at its start
DOMAIN: Final = "larkmeadow.example"


@dataclass(frozen=True, slots=True)
class Member:
    """One of the staff; `key` names him in the story and begins his address."""

    key: str
    name: str
    role: Role
    team: str = ""

    @property
    def email(self) -> str:
        return f"{self.key}@{DOMAIN}"


STAFF: Final = (
    Member("ida", "Ida Marlowe", Role.SELLER, "North"),
    Member("tomas", "Tomas Eklund", Role.SELLER, "South"),
    Member("greta", "Greta Osei", Role.MANAGER),
    Member("paul", "Paul Verhage", Role.PLANNER),
    Member("sam", "Sam Quill", Role.SHOP),
    Member("dina", "Dina Fairlie", Role.DISPATCHER),
    Member("alex", "Alex Romero", Role.ADMINISTRATOR),
)


@dataclass(frozen=True, slots=True)
class DemoBuilder:
    """A customer with the seller who looks after him."""

    key: str
    name: str
    contact: str
    email: str
    phone: str
    tier: str
    seller: str


BUILDERS: Final = (
    DemoBuilder(
        "hollin", "Hollin Ridge Homes", "Rae Winter", "rae@hollin.example", "555-0142", "regular", "ida"
    ),
    DemoBuilder("tern", "Tern and Daughters", "Olga Tern", "olga@tern.example", "555-0155", "list", "ida"),
    DemoBuilder(
        "copper", "Copperleaf Builders", "Ned Abara", "ned@copperleaf.example", "555-0161", "volume", "tomas"
    ),
    DemoBuilder(
        "quarry", "Quarry Street Carpentry", "Jo Lindqvist", "jo@quarry.example", "555-0178", "", "tomas"
    ),
)

PLACES: Final = {
    "near": SiteAddress("14 Marsh Lane", "Alder Falls", "OH", "44000", "near", "Larkmeadow County"),
    "middle": SiteAddress("220 Fenwick Road", "Harrow Bend", "OH", "44019", "middle", "Fallow County"),
    "far": SiteAddress("7 Lookout Way", "Stony Reach", "PA", "16000", "far", "Untaxed place"),
}


def make_staff() -> dict[str, User]:
    """Accounts of the staff; the administrator may open the data pages too."""
    return {
        member.key: User.objects.create_user(
            member.email,
            PASSWORD,
            name=member.name,
            role=member.role,
            team=member.team,
            is_staff=member.role == Role.ADMINISTRATOR,
            is_superuser=member.role == Role.ADMINISTRATOR,
        )
        for member in STAFF
    }


def sign_ins() -> list[tuple[str, str, str]]:
    """(address, role, name) of the demo's staff that is there."""
    known = set(User.objects.filter(email__endswith=f"@{DOMAIN}").values_list("email", flat=True))
    return [(member.email, member.role.label, member.name) for member in STAFF if member.email in known]
