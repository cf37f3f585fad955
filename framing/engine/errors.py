"""Every refusal of the engine, one tree.

    EngineError
    |-- LengthUnreadable      a length that R50 does not know
    |-- DocumentRefused       a floor document whose shape is wrong (problems name the field)
    |-- FloorRefused          a floor that cannot be built (R51; problems name the place)
    |-- UnknownProfile        a designator that the catalogue does not hold
    |-- UnknownItem           an item code that the catalogue does not hold
    |-- CatalogueRefused      a catalogue table with a bad row
    |-- SectionImpossible     dimensions that no rolled section can have
    |-- LoadRefused           a span or load that no member can have (negative, not finite, zero, too long)
    `-- OutsideSourceLimits   a formula or table asked beyond the range of its source

An error carries data (the thing, the value, the limit); the sentence a person reads is in `message`.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong or unusual, and where.

    Attributes:
        place: path in the floor document, such as `outline.2` or `openings.0.size.1`; "" is the whole.
        message: a sentence that names the thing, its value, the limit and what to do.
        x_16, y_16: position on the plan in sixteenths of an inch where one is known.
    """

    place: str
    message: str
    x_16: int | None = None
    y_16: int | None = None


class EngineError(Exception):
    """Base of all refusals; `message` is for people."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class LengthUnreadable(EngineError):
    """A text that is no length under R50; `text` is what was typed, `reason` says why."""

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(f"“{text}” is not a length: {reason}")
        self.text = text
        self.reason = reason


class _WithProblems(EngineError):
    """A refusal made of one or more problems, in document order."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(f"{p.place}: {p.message}" if p.place else p.message for p in problems))
        self.problems = problems


class DocumentRefused(_WithProblems):
    """The floor document does not have the published shape."""


class FloorRefused(_WithProblems):
    """The floor reads well but cannot be built (R51)."""


class UnknownProfile(EngineError):
    """A profile designator that is not in the catalogue."""

    def __init__(self, designator: str, known: tuple[str, ...]) -> None:
        super().__init__(
            f"Profile {designator} is not in the catalogue. Choose one of: {', '.join(known) or 'none yet'}."
        )
        self.designator = designator
        self.known = known


class UnknownItem(EngineError):
    """An item code that is not in the catalogue; a company's own item table may lack a size."""

    def __init__(self, code: str) -> None:
        super().__init__(f"Item {code} is not in the catalogue; add a row for it to the item table.")
        self.code = code


class CatalogueRefused(EngineError):
    """A catalogue table that cannot be used; the message names file, row and column."""


class SectionImpossible(EngineError):
    """Dimensions that no rolled section can have; the message names the dimension, its value and the limit."""


class LoadRefused(EngineError):
    """A span or load that no member can have; the message names it, its value and the limit."""


class OutsideSourceLimits(EngineError):
    """A clause or table asked for a case beyond the limits its source states.

    Attributes:
        clause: such as `AISI S100 G5`.
        thing, value, limit: what is outside, as `h/t`, 224.8, 200.0.
        least: the limit is the least value, not the most.
    """

    def __init__(self, clause: str, thing: str, value: float, limit: float, *, least: bool = False) -> None:
        reach = f"from {limit:g} on" if least else f"up to {limit:g}"
        super().__init__(f"{clause} holds for {thing} {reach}; here it is {value:.4g}.")
        self.clause, self.thing, self.value, self.limit = clause, thing, value, limit
        self.least = least
