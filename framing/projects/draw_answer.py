"""What the plan editor is told about a document while it is drawn: where everything is, what fails, what it takes.

Figures only, in plan inches; the page draws. A document that can't be read or built is answered too, with its problems
at their places. The engine keeps its answers, so asking about the same document again designs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from framing.drawing.editor_layer import Inches, frame_layer, inches, place_layer, plan_layer
from framing.engine.document import FloorDocument, read_document
from framing.engine.errors import DocumentRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.practice import Practice
from framing.engine.result import BomLine, FloorResult
from framing.engine.units import parse_length_exact, round_half_up
from framing.projects.preview import Preview, check_json, option_json, preview_document

Price = dict[str, str] | None
Pricer = Callable[[FloorResult, Practice], Price]
_LONGEST_NUMBER: Final = 400


def no_price(result: FloorResult, practice: Practice) -> Price:
    """The pricer of those who see no prices."""
    del result, practice
    return None


def draw_answer(document: Any, practice: Practice, pricer: Pricer = no_price) -> dict[str, Any]:
    """The answer to a document however broken; `state` is "unread", "refused" or "drawn"."""
    known, problems = _read(document)
    if known is None:
        return _answer(Preview(problems), None, (), None)
    preview = preview_document(known, practice)
    typed = typed_corners(known) if preview.plan is not None else ()
    price = pricer(preview.result, practice) if preview.result is not None else None
    return _answer(preview, known, typed, price)


def draw_places(document: Any, code: str, practice: Practice) -> list[dict[str, Any]]:
    """Where the things of a bill line are; [] where the floor can't be built or its bill lacks the code."""
    known, _ = _read(document)
    result = None if known is None else preview_document(known, practice).result
    return [] if result is None else place_layer(result, code)


def draw_shown(document: Any, practice: Practice) -> dict[str, Any]:
    """A saved document as the drawing needs it, without figures."""
    answer = draw_answer(document, practice)
    return {key: answer[key] for key in ("state", "problems", "drawn", "members", "bridging", "blocks")}


def draw_problems(document: Any, practice: Practice) -> list[dict[str, Any]]:
    """Why a document can't be saved, each problem with its place on the plan; [] where the engine takes it."""
    problems: list[dict[str, Any]] = draw_answer(document, practice)["problems"]
    return problems


def typed_corners(document: FloorDocument) -> tuple[Point, ...]:
    """The outline's corners in the document's own order. The document was read before (`to_plan`)."""

    def sixteenths(value: str | int | float) -> int:
        text = value if isinstance(value, str) else format(Decimal(repr(value)), "f")
        return round_half_up(parse_length_exact(text[:_LONGEST_NUMBER], document.units, allow_negative=True))

    return tuple(Point(sixteenths(x), sixteenths(y)) for x, y in document.outline)


def _read(document: Any) -> tuple[FloorDocument | None, tuple[Problem, ...]]:
    try:
        # A text would be read as a document too; here only the document itself is one.
        return read_document(document if isinstance(document, Mapping) else b"[]"), ()
    except DocumentRefused as error:
        return None, error.problems


def _answer(
    preview: Preview, document: FloorDocument | None, typed: tuple[Point, ...], price: Price
) -> dict[str, Any]:
    result, plan = preview.result, preview.plan
    drawn = None if plan is None else plan_layer(plan, typed)
    framed = {"members": [], "bridging": [], "blocks": []} if result is None else frame_layer(result)
    finder = _Finder(document, plan, typed, framed["members"])
    return {
        "state": "drawn" if result is not None else "unread" if plan is None else "refused",
        "problems": [finder.placed(problem) for problem in preview.problems],
        "warnings": [finder.placed(problem) for problem in preview.warnings],
        "drawn": drawn,
        **framed,
        "counts": [
            {"code": count.code, "words": count.words, "quantity": count.quantity} for count in preview.counts
        ],
        "weight_lb": round(preview.weight_lb, 1),
        "checks": [check_json(case) for case in preview.governing],
        "passes": None if result is None else result.passes,
        "failing": preview.failing,
        "bill": [] if result is None else [_line(line) for line in result.bill],
        "options": [] if result is None else [option_json(option) for option in result.options],
        "price": price,
    }


class _Finder:
    """Finds where on the plan a problem is, by the engine's word or else by its place in the document."""

    def __init__(
        self,
        document: FloorDocument | None,
        plan: FloorPlan | None,
        typed: tuple[Point, ...],
        members: Sequence[Mapping[str, Any]],
    ) -> None:
        self.document, self.plan, self.typed, self.members = document, plan, typed, members

    def placed(self, problem: Problem) -> dict[str, Any]:
        x, y = (None if at_16 is None else inches(at_16) for at_16 in (problem.x_16, problem.y_16))
        if x is None or y is None:
            x, y = self._spot(problem.place) or (None, None)
        return {"place": problem.place, "message": problem.message, "x": x, "y": y}

    def _spot(self, place: str) -> tuple[Inches, Inches] | None:
        """The middle of what `place` names, in inches; None for what lies nowhere (loads, the name)."""
        for member in self.members:
            if member["id"] == place:
                x1, y1, x2, y2 = member["line"]
                return (x1 + x2) / 2, (y1 + y2) / 2
        name, _, rest = place.partition(".")
        number = rest.partition(".")[0]
        corners = self._corners(name, int(number)) if number.isdigit() else ()
        if not corners:
            return None
        xs, ys = [p.x_16 for p in corners], [p.y_16 for p in corners]
        return inches((min(xs) + max(xs)) // 2), inches((min(ys) + max(ys)) // 2)

    def _corners(self, name: str, index: int) -> tuple[Point, ...]:
        plan, document, typed = self.plan, self.document, self.typed
        if plan is None or document is None or index >= len(getattr(document, name, ())):
            return ()
        if name == "outline":
            return (typed[index],)
        if name == "edges":
            edge = document.edges[index].edge
            return typed[edge], typed[(edge + 1) % len(typed)]
        if name == "openings":
            rect = plan.openings[index].rect
            return rect.low, rect.high
        if name in ("supports", "partitions"):
            line = (plan.supports if name == "supports" else plan.partitions)[index]
            return line.start, line.end
        return plan.bays[index].ring or typed if name == "bays" else ()


def _line(line: BomLine) -> dict[str, Any]:
    return {
        "code": line.code,
        "description": line.description,
        "exact": line.exact,
        "unit": line.unit,
        "bought": line.bought,
        "sold_by": line.sold_by,
    }
