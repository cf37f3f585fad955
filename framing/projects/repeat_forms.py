"""The rows of “Repeat this floor”: one a floor to be made; the services check them, the forms only read them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django import forms

from framing.common.errors import Refused
from framing.projects.mirrored import FRONT_BACK, LEFT_RIGHT, Way
from framing.projects.models import Floor
from framing.projects.repeat_selectors import floor_state, mirrored_name, names_of, next_storey
from framing.projects.repeat_services import COPIES_MOST, Copy

AS_DRAWN: Final = "as-drawn"
WAY_CHOICES: Final = (
    (AS_DRAWN, "As drawn"),
    (LEFT_RIGHT, "Mirrored left to right"),
    (FRONT_BACK, "Mirrored front to back"),
)
FIELDS: Final = ("name", "level", "mirrored", "repeat")
ADD_STOREY, ADD_MIRROR, DROP = "storey", "mirror", "drop-"


class CopyForm(forms.Form):
    """One floor to be made."""

    name = forms.CharField(label="Name", max_length=80)
    level = forms.CharField(label="Level", max_length=4)
    mirrored = forms.ChoiceField(label="Lies", choices=WAY_CHOICES)
    repeat = forms.IntegerField(label="Built alike", min_value=1, max_value=99)

    @property
    def copy(self) -> Copy:
        data = self.cleaned_data
        way: Way | None = None if data["mirrored"] == AS_DRAWN else data["mirrored"]
        return Copy(data["name"], data["level"], way, data["repeat"])


@dataclass
class RepeatRows:
    """All rows with what is wrong with them together."""

    rows: list[CopyForm]
    problems: list[str] = field(default_factory=list)

    @classmethod
    def proposed(cls, floor: Floor, *, mirror: bool) -> RepeatRows:
        """The storey above, or the floor's mirror on its own storey."""
        return cls([_row(0, _proposal(floor, [], mirror=mirror))])

    @classmethod
    def posted(cls, data: Mapping[str, str]) -> RepeatRows:
        count = data.get("copies", "")
        known = int(count) if count.isascii() and count.isdigit() and len(count) < 4 else 0
        return cls([CopyForm(data, prefix=_prefix(index)) for index in range(min(known, COPIES_MOST + 1))])

    @property
    def full(self) -> bool:
        return len(self.rows) >= COPIES_MOST

    @property
    def wrong(self) -> bool:
        return bool(self.problems) or any(row.errors for row in self.rows if row.is_bound)

    def act(self, floor: Floor, verb: str) -> RepeatRows:
        """The rows after a button that adds or drops one; what was typed stays, nothing is checked yet."""
        texts = [{name: row[name].value() or "" for name in FIELDS} for row in self.rows]
        if verb.startswith(DROP):
            number = verb.removeprefix(DROP)
            texts = [text for index, text in enumerate(texts) if str(index) != number]
        elif not self.full:
            texts.append(_proposal(floor, texts, mirror=verb == ADD_MIRROR))
        return RepeatRows([_row(index, text) for index, text in enumerate(texts)])

    def is_valid(self) -> bool:
        checked = [row.is_valid() for row in self.rows]
        return all(checked)

    @property
    def copies(self) -> tuple[Copy, ...]:
        return tuple(row.copy for row in self.rows)

    def refuse(self, error: Refused) -> None:
        """Put a service's refusal at its fields; what has none goes over the rows."""
        for problem in error.detail or [{"place": error.field, "message": error.message}]:
            _, _, rest = problem["place"].partition("copies.")
            number, _, name = rest.partition(".")
            if number.isdigit() and int(number) < len(self.rows):
                self.rows[int(number)].add_error(name if name in FIELDS else None, problem["message"])
            else:
                self.problems.append(problem["message"])


def _proposal(floor: Floor, texts: Sequence[Mapping[str, Any]], *, mirror: bool) -> dict[str, Any]:
    """A new row: the storey above the last row, or the mirror of the floor."""
    document = floor_state(floor).document
    taken = names_of(floor.project) | {str(text["name"]) for text in texts}
    repeat = document.get("repeat", 1)
    if mirror:
        name, level = mirrored_name(floor.name, taken), document.get("level", "1")
        return {"name": name, "level": level, "mirrored": LEFT_RIGHT, "repeat": repeat}
    last: Mapping[str, Any] = (
        texts[-1] if texts else {"name": floor.name, "level": document.get("level", "1")}
    )
    storey = next_storey(str(last["name"]), str(last["level"]), taken)
    return {"name": storey.name, "level": storey.level, "mirrored": AS_DRAWN, "repeat": 1}


def _row(index: int, texts: Mapping[str, Any]) -> CopyForm:
    return CopyForm(initial=dict(texts), prefix=_prefix(index))


def _prefix(index: int) -> str:
    return f"copy-{index}"
