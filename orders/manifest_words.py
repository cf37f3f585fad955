"""The words of a load's sketch in the language of whoever looks at it; staff and papers read English (R47, R48)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from django.utils.formats import get_format
from django.utils.translation import gettext as _

from framing.drawing.load_words import ENGLISH, SENTENCES, LoadWords
from framing.engine.bundling.cartons import TITLES
from framing.engine.floor import Units

CARTONS: Final = tuple(title for _group, title in TITLES)

if TYPE_CHECKING:
    from orders.load_facts import LoadRow
    from orders.load_figures import TripFigures


def carton_title(title: str) -> str:
    """What a carton's title says after its floor, in the reader's language; a title of another kind stays."""
    floor, colon, what = title.rpartition(": ")
    return f"{floor}{colon}{_(what)}" if what in CARTONS else title


def sketch_words() -> LoadWords:
    """The sketch's words in the reader's language, with his way of writing thousands."""
    told: dict[str, Any] = {name: _(getattr(ENGLISH, name)) for name in SENTENCES}
    return LoadWords(**told, group=get_format("THOUSAND_SEPARATOR"))


def load_words(figures: TripFigures) -> LoadWords:
    """The same for a truck of these figures: its title, and how what it carries is called."""
    names = {row.id: _names(row) for row in figures.facts.rows.values()}
    return replace(sketch_words(), title=_title(figures), names=names)


def overhang_words(figures: TripFigures, units: Units) -> tuple[str, ...]:
    """What stands out over the rear end, a sentence each."""
    if figures.truck is None or not figures.truck.overhangs:
        return ()
    words = load_words(figures)
    return tuple(words.overhang(one, words.names[one.thing][1], units) for one in figures.truck.overhangs)


def _names(row: LoadRow) -> tuple[str, str]:
    """What a thing is called within its order, and in full."""
    number = f"{'' if row.is_bundle else 'C'}{row.row.number}"
    short = (_("Bundle %(number)s") if row.is_bundle else _("Carton %(number)s")) % {"number": number}
    return short, _("%(thing)s of %(order)s") % {"thing": short, "order": row.row.order.number}


def _title(figures: TripFigures) -> str:
    """A trip goes by its number; a truck that is only proposed by its place in the plan."""
    if figures.truck is None or not figures.facts.trips:
        return ""
    trip = figures.facts.trips[figures.truck.number - 1]
    facts = {"trip": trip.number, "truck": trip.truck_name or figures.truck.kind}
    return _("Trip %(trip)s: %(truck)s") % facts
