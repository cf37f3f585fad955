"""Forms of deliveries and trucks; what they mean is checked by the services."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from framing.common.clock import database_now
from orders.delivery_days import clock_words, shut_days
from orders.delivery_gear import REACH_WORDS, usual_words
from orders.delivery_reads import Left, floors_left, left_of, others_things
from orders.forms import ReasonForm
from orders.models import Bundle, Carton, Delivery, Order
from orders.states import Gear

FIRST: Final = ("planned_for", "contact", "notes")


def _time(label: str, **more: Any) -> forms.TimeField:
    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    return forms.TimeField(label=label, required=False, widget=widget, **more)


def _day(label: str, **more: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, **more)


class SeenForm(forms.Form):
    """Which state of the delivery the person saw; so that two at once don't undo each other unseen."""

    edition = forms.IntegerField(widget=forms.HiddenInput, required=False)


class DropForm(ReasonForm, SeenForm):
    """Why a delivery is dropped."""


class WhenForm(forms.Form):
    """Day and window on site. `shut_ok` is asked only where the day is one on which the company is shut."""

    planned_for = _day("Day on site")
    window_from = _time(
        "Taken from", help_text="The site's own clock. Leave both empty if no time is agreed."
    )
    window_to = _time("until")
    shut_ok = forms.BooleanField(
        label="It goes on this day all the same", required=False, help_text="Somebody is here to load it."
    )

    def ask_of(self, zone: str) -> None:
        """Say whose clock a window is by; ask whether it goes all the same only where we are shut on the day."""
        told = clock_words(zone, database_now())
        self.fields["window_from"].help_text = f"{told} Leave both empty if no time is agreed."
        self.full_clean()
        day = self.cleaned_data.get("planned_for") if self.is_bound else None
        if day is None or not shut_days([day]):
            del self.fields["shut_ok"]


class PlaceForm(forms.Form):
    """Whom the driver calls, and what unloads there."""

    contact = forms.CharField(label="Contact on site", max_length=160, help_text="Name, for the driver.")
    phone = forms.CharField(
        label="Telephone", max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    gear = forms.ChoiceField(
        label="Unloads with", choices=Gear.choices, required=False, initial=Gear.TELEHANDLER
    )
    gear_limit_lb = forms.IntegerField(
        label="It lifts, in lb",
        required=False,
        min_value=1,
        help_text=f"At the place where bundles are set down. {REACH_WORDS} {usual_words()}",
    )
    notes = forms.CharField(
        label="Notes for the driver",
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Gate, crane, where to set the bundles.",
    )

    def clean_gear(self) -> str:
        return self.cleaned_data["gear"] or Gear.TELEHANDLER.value


class DeliveryForm(WhenForm, PlaceForm):
    """A delivery to plan: of all that is left, unless floors, bundles or cartons are chosen."""

    floors = forms.MultipleChoiceField(
        label="Floors", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Their bundles go, with the cartons that are packed for them.",
    )  # fmt: skip
    bundles = forms.MultipleChoiceField(label="Bundles", required=False, widget=forms.CheckboxSelectMultiple)
    cartons = forms.TypedMultipleChoiceField(
        label="Cartons", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    field_order = (
        "planned_for",
        "shut_ok",
        "window_from",
        "window_to",
        "contact",
        "phone",
        "gear",
        "gear_limit_lb",
        "notes",
    )

    def __init__(self, *args: Any, order: Order, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.left = left_of(order)
        _offer(self, self.left)
        floors = [(name, f"{name}: {words}") for name, words in floors_left(order, self.left)]
        self.fields["floors"].choices = floors  # type: ignore[attr-defined]
        self.ask_of(order.revision.quote.project.site.time_zone)

    @property
    def plain_fields(self) -> list[forms.BoundField]:
        """What is always asked."""
        return [self[name] for name in self.field_order if name in self.fields]

    @property
    def thing_fields(self) -> list[forms.BoundField]:
        """What is chosen only where the order goes in parts."""
        return [self[name] for name in ("floors", "bundles", "cartons") if self.fields[name].choices]  # type: ignore[attr-defined]

    @property
    def asked(self) -> dict[str, Any]:
        """What the service takes: chosen things only where some are."""
        data = dict(self.cleaned_data)
        if data["bundles"] or data["cartons"]:
            data["floors"] = ()
        else:
            data["bundles"] = data["cartons"] = None
        return data


class ThingsForm(forms.Form):
    """Bundles and cartons to put on a delivery."""

    bundles = forms.MultipleChoiceField(label="Bundles", required=False, widget=forms.CheckboxSelectMultiple)
    cartons = forms.TypedMultipleChoiceField(
        label="Cartons", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, delivery: Delivery, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.left = others_things(delivery)
        _offer(self, self.left)


def _offer(form: forms.Form, left: Left) -> None:
    form.fields["bundles"].choices = [(row.public_id, _bundle(row)) for row in left.bundles]  # type: ignore[attr-defined]
    form.fields["cartons"].choices = [(row.number, _carton(row)) for row in left.cartons]  # type: ignore[attr-defined]


def _bundle(row: Bundle) -> str:
    state = "" if row.finished_at else ", to roll"
    pieces = row.piece_count  # type: ignore[attr-defined]  # annotated
    return f"{row.number}: {row.zone}, {pieces} pieces, {row.weight_lb:,.0f} lb{state}{_where(row)}"


def _carton(row: Carton) -> str:
    return f"C{row.number}: {row.title}, {row.weight_lb:,.0f} lb{_where(row)}"


def _where(row: Bundle | Carton) -> str:
    return f" (now on {row.delivery})" if row.delivery_id else ""


class MoveForm(WhenForm, SeenForm):
    """Another day or window, and why."""

    why = forms.CharField(label="Why", max_length=400, help_text="The builder reads it where he is told.")
    field_order = ("planned_for", "shut_ok", "window_from", "window_to", "why")

    def __init__(self, *args: Any, zone: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ask_of(zone)


class ChangeForm(PlaceForm, SeenForm):
    """What is said of a delivery, all but its day."""


class TruckForm(forms.Form):
    """A truck of the company; lengths as people type them (R50)."""

    name = forms.CharField(label="Name", max_length=80, help_text="As people call it in the yard.")
    plate = forms.CharField(label="Plate", max_length=20, required=False)
    deck_length = forms.CharField(label="Deck length", max_length=40, initial="48 ft")
    deck_width = forms.CharField(label="Deck width", max_length=40, initial="8 ft 6 in")
    stack_height = forms.CharField(
        label="Stack height", max_length=40, help_text="From the deck to the top, with dunnage."
    )
    tiers = forms.IntegerField(label="Tiers at most", min_value=1, max_value=20, initial=4)
    payload_lb = forms.IntegerField(label="Payload, in lb", min_value=1, initial=48_000)


class FeedForm(forms.Form):
    """Whom a calendar's address is for."""

    for_name = forms.CharField(label="For", max_length=160, help_text="Who will read it in a calendar.")
