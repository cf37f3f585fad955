"""Forms of the trucks of a day; what they mean is checked by the services."""

from __future__ import annotations

from typing import Any

from django import forms

from orders.models import Trip, Truck
from orders.services.trip_steps import TripStep

STOPS_MOST = 60


class StepForm(forms.Form):
    """A step on loads. `to` is a trip's public id, “new”, or “new:” and a truck's name."""

    version = forms.CharField(max_length=32)
    edit = forms.ChoiceField(choices=[("move", "move"), ("swap", "swap"), ("off", "off")])
    thing = forms.CharField(max_length=40)
    to = forms.CharField(max_length=100, required=False)
    lane = forms.IntegerField(required=False, min_value=1, max_value=40)
    on = forms.CharField(max_length=40, required=False)
    other = forms.CharField(max_length=40, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("edit") == "move" and not data.get("to"):
            self.add_error("to", "Say to which truck it moves.")
        if data.get("edit") == "swap" and not data.get("other"):
            self.add_error("other", "Say with which it changes places.")
        return data

    def step(self) -> TripStep:
        """The step that was asked for; the form is valid."""
        data = self.cleaned_data
        to, new = data["to"], data["to"] == "new" or data["to"].startswith("new:")
        return TripStep(
            edit=data["edit"],
            thing=data["thing"],
            trip="" if new else to,
            kind=to.removeprefix("new").removeprefix(":") if new else "",
            lane=data["lane"],
            on=data["on"],
            other=data["other"],
        )


class VersionForm(forms.Form):
    """Which trucks were seen when a step was taken back."""

    version = forms.CharField(max_length=32)


class EditionForm(forms.Form):
    """Which state of a trip was seen."""

    edition = forms.IntegerField(min_value=1)


class LockForm(EditionForm):
    locked = forms.BooleanField(required=False)


class NameForm(EditionForm):
    """Truck and driver of a trip."""

    edition = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    truck: forms.ModelChoiceField[Truck] = forms.ModelChoiceField(
        queryset=Truck.objects.none(), required=False, to_field_name="public_id", empty_label="Hired"
    )
    driver = forms.CharField(max_length=120, required=False)
    driver_phone = forms.CharField(max_length=40, required=False, label="Driver's phone")
    blocked_forward = forms.BooleanField(
        required=False,
        label="The load stands against a headboard",
        help_text="Fewer tie-downs are asked for then.",
    )

    def __init__(self, *args: Any, trucks: Any, trip: Trip, **more: Any) -> None:
        known = {
            "edition": trip.edition,
            "truck": trip.truck.public_id if trip.truck else None,
            "driver": trip.driver,
            "driver_phone": trip.driver_phone,
            "blocked_forward": trip.blocked_forward,
        }
        super().__init__(*args, **({"initial": known} | more))
        field = self.fields["truck"]
        if isinstance(field, forms.ModelChoiceField):
            field.queryset = trucks


class PlanForm(forms.Form):
    """Which deliveries go on which trucks: fields `stop-<id>` beside each ticked delivery order the stops."""

    further = forms.BooleanField(required=False)

    def deliveries(self) -> list[str]:
        """Ticked deliveries by the stop that was typed, those without one last, else as they stand."""
        ticked: list[str] = self.data.getlist("deliveries")[:STOPS_MOST]  # type: ignore[attr-defined]
        return sorted(ticked, key=self._stop)

    def _stop(self, public_id: str) -> int:
        typed = str(self.data.get(f"stop-{public_id}", "")).strip()
        return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 4 else 1000

    def trucks(self) -> list[str]:
        found: list[str] = self.data.getlist("trucks")[:STOPS_MOST]  # type: ignore[attr-defined]
        return found


def stops_typed(data: Any) -> list[str]:
    """Deliveries of a trip in the order of the numbers typed beside them."""
    pairs = [(name.removeprefix("stop-"), value) for name, value in data.items() if name.startswith("stop-")]
    numbers = {key: int(v) if v.isascii() and v.isdigit() and len(v) < 4 else 1000 for key, v in pairs}
    return sorted(numbers, key=lambda key: numbers[key])
