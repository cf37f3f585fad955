"""The access table: who may do what to which object. The only place where rights are written down.

A verb ending in `:own` holds for what one owns (or a team mate owns). A view names its act with
`access = Act("quote", "issue")`; the middleware refuses a route that names none, services check the object
itself, and a test walks every route against this table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from framing.common.actors import Actor
from framing.common.errors import NotAllowed, NotThere
from framing.common.models import Role

PUBLIC = "public"
SIGNED_IN = "signed_in"


@dataclass(frozen=True, slots=True)
class Act:
    """What a route does: a verb on an object of the table. PUBLIC and SIGNED_IN objects have no verb."""

    object: str
    verb: str = ""


def _verbs(text: str) -> frozenset[str]:
    return frozenset(text.split())


S, M, P, F, D, A = (
    Role.SELLER.value,
    Role.MANAGER.value,
    Role.PLANNER.value,
    Role.SHOP.value,
    Role.DISPATCHER.value,
    Role.ADMINISTRATOR.value,
)
QUOTE_LINK, DELIVERY_LINK, ORDER_LINK = "quote_link", "delivery_link", "order_link"
TRIP_LINK = "trip_link"

TABLE: Mapping[str, Mapping[str, frozenset[str]]] = {
    "project": {
        S: _verbs("read make change"),
        M: _verbs("read make change"),
        P: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read"),
    },
    "floor": {
        S: _verbs("read make change take_off"),
        M: _verbs("read make change take_off"),
        P: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read"),
        QUOTE_LINK: _verbs("read"),
        DELIVERY_LINK: _verbs("read"),
    },
    "calculation": {
        S: _verbs("read ask"),
        M: _verbs("read ask"),
        P: _verbs("read ask"),
        D: _verbs("read"),
        A: _verbs("read"),
    },
    "draft": {S: _verbs("read make:own change:own"), M: _verbs("read make change"), A: _verbs("read")},
    "quote": {
        S: _verbs("read issue:own revise:own withdraw:own accept decline explain:own send:own write:own"),
        M: _verbs("read issue revise approve withdraw accept decline explain send write"),
        P: _verbs("read_unpriced"),
        A: _verbs("read"),
        QUOTE_LINK: _verbs("read accept decline write"),
    },
    "cost": {S: _verbs("read:own"), M: _verbs("read")},
    "price_book": {S: _verbs("read"), M: _verbs("read change put_in_force give"), A: _verbs("read")},
    "practice": {S: _verbs("read"), M: _verbs("read change"), P: _verbs("read"), A: _verbs("read")},
    "catalogue": {S: _verbs("read"), M: _verbs("read"), P: _verbs("read"), A: _verbs("read")},
    "order": {
        S: _verbs("read book:own approve:own change:own"),
        M: _verbs("read book approve cancel hold change"),
        P: _verbs("read approve release hold"),
        F: _verbs("read"),
        D: _verbs("read close"),
        A: _verbs("read"),
        ORDER_LINK: _verbs("read answer"),
    },
    "change_order": {
        S: _verbs("read ask:own withdraw:own apply:own"),
        M: _verbs("read ask withdraw apply"),
        P: _verbs("read apply"),
        F: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read"),
    },
    "drawing_set": {
        S: _verbs("read send:own"),
        M: _verbs("read send"),
        P: _verbs("read send"),
        F: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read"),
        ORDER_LINK: _verbs("read"),
        DELIVERY_LINK: _verbs("read"),
    },
    "deposit": {
        S: _verbs("read record:own take_back:own"),
        M: _verbs("read record take_back"),
        A: _verbs("read"),
    },
    "bundle": {
        S: _verbs("read"),
        M: _verbs("read"),
        P: _verbs("read change roll finish reopen remake weigh"),
        F: _verbs("read roll finish reopen remake weigh"),
        D: _verbs("read"),
        A: _verbs("read"),
        DELIVERY_LINK: _verbs("read"),
    },
    "shop_paper": {
        M: _verbs("read"),
        P: _verbs("read make"),
        F: _verbs("read make"),
        D: _verbs("read make"),
        A: _verbs("read"),
    },
    "label_stock": {
        M: _verbs("read change"),
        P: _verbs("read change"),
        F: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read change"),
    },
    "shop_figures": {role: _verbs("read") for role in (M, P, A)},
    "line": {role: _verbs("read") for role in (M, F, A)} | {P: _verbs("read change")},
    "line_plan": {role: _verbs("read") for role in (S, M, F, D, A)} | {P: _verbs("read ask take pin")},
    "coil": {M: _verbs("read"), P: _verbs("read count"), F: _verbs("read count"), A: _verbs("read")},
    "delivery": {
        S: _verbs("read"),
        M: _verbs("read"),
        P: _verbs("read"),
        D: _verbs("read make change load deliver"),
        A: _verbs("read"),
        DELIVERY_LINK: _verbs("read deliver"),
        TRIP_LINK: _verbs("deliver"),
    },
    "trip": {role: _verbs("read") for role in (S, M, P, A)}
    | {F: _verbs("tick"), D: _verbs("read plan change load tick")},
    "truck": {role: _verbs("read") for role in (S, P, A)} | {role: _verbs("read change") for role in (M, D)},
    "calendar": {
        S: _verbs("read"),
        M: _verbs("read make withdraw"),
        P: _verbs("read"),
        D: _verbs("read make withdraw"),
        A: _verbs("read withdraw"),
    },
    "notice": {P: _verbs("read")}
    | {role: _verbs("read send") for role in (S, D)}
    | {role: _verbs("read send change") for role in (M, A)},
    "claim": {
        S: _verbs("read open:own"),
        M: _verbs("read open replace credit reject"),
        P: _verbs("read"),
        F: _verbs("read"),
        D: _verbs("read open replace reject"),
        A: _verbs("read"),
        DELIVERY_LINK: _verbs("read open"),
    },
    "trip_stop": {role: _verbs("read") for role in (S, M, P, A)}
    | {D: _verbs("read arrive unload"), TRIP_LINK: _verbs("read arrive unload")},
    "invoice": {S: _verbs("read"), M: _verbs("read export"), A: _verbs("read")},
    "receipt": {role: _verbs("read") for role in (S, M, P, A)}
    | {D: _verbs("read act"), DELIVERY_LINK: _verbs("read act")},
    "site_photo": {role: _verbs("read") for role in (S, M, P, A)}
    | {link: _verbs("read take") for link in (D, DELIVERY_LINK, TRIP_LINK)},
    "link_language": {link: _verbs("choose") for link in (DELIVERY_LINK, ORDER_LINK, TRIP_LINK)},
    "quote_paper": {S: _verbs("read"), M: _verbs("read"), A: _verbs("read"), QUOTE_LINK: _verbs("read")},
    "load_paper": {
        S: _verbs("read"),
        M: _verbs("read"),
        P: _verbs("read"),
        D: _verbs("read"),
        A: _verbs("read"),
        DELIVERY_LINK: _verbs("read"),
    },
    "quote_link": {S: _verbs("make:own withdraw:own"), M: _verbs("make withdraw"), A: _verbs("withdraw")},
    "delivery_link": {D: _verbs("make withdraw"), M: _verbs("make withdraw"), A: _verbs("withdraw")},
    "trip_link": {D: _verbs("make withdraw"), M: _verbs("make withdraw"), A: _verbs("withdraw")},
    "mail": {S: _verbs("read retry"), M: _verbs("read retry"), A: _verbs("read retry test bounce")},
    "mail_template": {S: _verbs("read"), M: _verbs("read change"), A: _verbs("read change")},
    "saved_filter": {role: _verbs("read make start change:own") for role in (S, P, F, D, A)}
    | {M: _verbs("read make start change")},
    "audit": {role: _verbs("read") for role in (S, M, P, D, A)},
    "job": {role: _verbs("read") for role in (S, M, P, D, A)},
}

# Routes of libraries, which carry no `access` mark of ours: name -> what they are.
LIBRARY_ROUTES: Mapping[str, str] = {
    "account_login": PUBLIC,
    "account_logout": PUBLIC,
    "account_signup": PUBLIC,
    "account_inactive": PUBLIC,
    "account_reauthenticate": SIGNED_IN,
    "account_request_reauthentication_code": SIGNED_IN,
    "account_confirm_reauthentication_code": SIGNED_IN,
    "account_email": SIGNED_IN,
    "account_confirm_email": PUBLIC,
    "account_email_verification_sent": PUBLIC,
    "account_change_password": SIGNED_IN,
    "account_set_password": SIGNED_IN,
    "account_reset_password": PUBLIC,
    "account_reset_password_done": PUBLIC,
    "account_reset_password_from_key": PUBLIC,
    "account_reset_password_from_key_done": PUBLIC,
    "account_confirm_login_code": PUBLIC,
    "account_request_login_code": PUBLIC,
}

View = TypeVar("View", bound=Callable[..., Any])


def grants(object_: str, verb: str = "") -> Callable[[View], View]:
    """Mark a function view with its act."""
    if object_ not in (PUBLIC, SIGNED_IN):
        TABLE[object_]  # a misspelt object fails at import

    def mark(view: View) -> View:
        view.access = Act(object_, verb)  # type: ignore[attr-defined]
        return view

    return mark


def may(audience: str, object_: str, verb: str, *, own: bool = True) -> bool:
    """Whether the table lets this audience do it; `own` tells whether the object is theirs."""
    if audience == "system":
        return True
    verbs = TABLE[object_].get(audience, frozenset())
    return verb in verbs or (own and f"{verb}:own" in verbs)


def owns(actor: Actor, owner: Any) -> bool:
    """True where the actor is the owner or in the owner's team."""
    if actor.user is None or owner is None:
        return False
    return bool(owner.pk == actor.user.pk or (owner.team and owner.team == actor.user.team))


def require(actor: Actor, object_: str, verb: str, *, owner: Any = None, owned: bool = False) -> None:
    """Refuse what the table does not list.

    Args:
        owner: the owner of the object; with `owned` it decides `:own` verbs.
        owned: the object has an owner (else `:own` verbs count as held).

    Raises:
        NotAllowed for staff, NotThere for everybody else.
    """
    own = owns(actor, owner) if owned else True
    if may(actor.audience, object_, verb, own=own):
        return
    if actor.is_staff:
        words = f"{verb} this {object_}".replace("_", " ")
        raise NotAllowed(f"Your role ({actor.audience}) may not {words}.")
    raise NotThere()
