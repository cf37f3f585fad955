"""Forms of lines, their plans and coils; what they mean is checked by the services."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from orders.line_facts import coil_mils, profile_codes, profile_depths
from orders.line_typed import WEEKDAYS
from orders.models import Line, Order

_NUMBER: Final = {"inputmode": "decimal"}


def _day(label: str, **more: Any) -> forms.DateField:
    return forms.DateField(
        label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **more
    )


class LineForm(forms.Form):
    """A line with its shifts, one text for each weekday."""

    name = forms.CharField(label="Name", max_length=60)
    feet_per_minute = forms.DecimalField(
        label="Speed",
        max_digits=6,
        decimal_places=2,
        help_text="Feet a minute that the running machine makes.",
    )
    capacity_ft_per_shift = forms.IntegerField(
        label="Capacity",
        required=False,
        help_text="Feet that the longest shift makes, all told. Empty: what the speed gives.",
    )
    depths = forms.TypedMultipleChoiceField(
        label="Depths it can roll",
        required=False,
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: all depths.",
    )
    works = forms.BooleanField(label="In work: plans may use it", required=False, initial=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["depths"]
        if isinstance(field, forms.TypedMultipleChoiceField):
            field.choices = [(depth, f"{depth / 100:g} in") for depth in profile_depths()]
        for day, name in enumerate(WEEKDAYS):
            self.fields[f"shifts_{day}"] = forms.CharField(label=name, max_length=120, required=False)

    @property
    def shift_fields(self) -> list[forms.BoundField]:
        return [self[f"shifts_{day}"] for day in range(len(WEEKDAYS))]


class ClosureForm(forms.Form):
    """A day on which a line, or the whole shop, stands."""

    day = _day("Day")
    line = forms.ModelChoiceField(
        Line.objects.none(),
        label="Line",
        required=False,
        empty_label="The whole shop",
        to_field_name="public_id",
    )
    words = forms.CharField(label="Why", max_length=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _lines(self)


def _lines(form: forms.Form) -> None:
    field = form.fields["line"]
    if isinstance(field, forms.ModelChoiceField):
        field.queryset = Line.objects.filter(works=True).order_by("name")


class SettingsForm(forms.Form):
    """Holidays, lead, change-over minutes and prices of all lines."""

    country = forms.CharField(
        label="Public holidays of",
        max_length=2,
        required=False,
        help_text="Code of the country: CA, US. Empty: none.",
    )
    subdivision = forms.CharField(
        label="Province or state", max_length=10, required=False, help_text="Its code: AB, TX."
    )
    lead_days = forms.IntegerField(
        label="Lead", help_text="Working days between the last finished bundle and the day on site."
    )
    piece_seconds = forms.IntegerField(
        label="Handling of a piece", help_text="Seconds at the run-out, beside rolling."
    )
    base_minutes = forms.IntegerField(label="Any change-over", help_text="Minutes.")
    gauge_minutes = forms.IntegerField(label="More for another coil", help_text="Minutes.")
    depth_minutes = forms.IntegerField(label="More for another depth", help_text="Minutes.")
    flange_minutes = forms.IntegerField(label="More for another flange", help_text="Minutes.")
    setup_price = forms.IntegerField(
        label="Weight of a change-over minute", help_text="A minute that a bundle is late weighs 1."
    )
    moved_price = forms.IntegerField(
        label="Weight of a moved bundle",
        help_text="Against one on the day and line where the plan in force has it.",
    )


class ChangeOverForm(forms.Form):
    """Minutes that the shop timed from one profile to another."""

    before = forms.ChoiceField(label="From")
    after = forms.ChoiceField(label="To")
    minutes = forms.IntegerField(label="Minutes", required=False, help_text="Empty: by the rule again.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("before", "after"):
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                field.choices = [(code, code) for code in profile_codes()]


class MoveForm(forms.Form):
    """Where a bundle is to be rolled."""

    day = _day("Day")
    line = forms.ModelChoiceField(
        Line.objects.none(),
        label="Line",
        required=False,
        empty_label="Any that can roll it",
        to_field_name="public_id",
    )
    why = forms.CharField(label="Why", max_length=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _lines(self)


class OrderChoice(forms.ModelChoiceField[Order]):
    """Orders by number and project."""

    def label_from_instance(self, obj: Order) -> str:
        return f"{obj.number}, {obj.revision.quote.project.name}"


class RushForm(forms.Form):
    """The order that is to go first."""

    order = OrderChoice(
        Order.objects.none(), label="Order", empty_label="Choose an order", to_field_name="public_id"
    )


class CoilForm(forms.Form):
    """Steel of one thickness as counted."""

    mils = forms.TypedChoiceField(label="Thickness", coerce=int)
    weight_lb = forms.DecimalField(
        label="There now",
        max_digits=10,
        decimal_places=1,
        help_text="lb",
        widget=forms.NumberInput(attrs=_NUMBER),
    )
    low_lb = forms.DecimalField(
        label="Low under", max_digits=10, decimal_places=1, help_text="lb; 0 for no warning.", initial=0
    )
    counted_on = _day("Counted on", help_text="It holds from the evening of that day.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["mils"]
        if isinstance(field, forms.TypedChoiceField):
            field.choices = [(mils, f"{mils} mil") for mils in coil_mils()]
