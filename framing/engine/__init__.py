"""The engine's public side: a floor document in, a designed package out; pure, the same answer every time."""

from framing.engine.catalogue import Catalogue, JoistProfile, load_catalogue
from framing.engine.document import (
    FloorDocument,
    dump_document,
    json_schema,
    read_document,
    rectangle_document,
    to_plan,
)
from framing.engine.errors import DocumentRefused, EngineError, FloorRefused, Problem, UnknownProfile
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.pipeline import ENGINE_VERSION, design_floor, design_package
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, PackageResult

__all__ = [
    "ENGINE_VERSION",
    "Catalogue",
    "DocumentRefused",
    "EngineError",
    "FloorDocument",
    "FloorPlan",
    "FloorRefused",
    "FloorResult",
    "JoistProfile",
    "PackageResult",
    "Practice",
    "Problem",
    "UnknownProfile",
    "check_floor",
    "design_floor",
    "design_package",
    "dump_document",
    "json_schema",
    "load_catalogue",
    "read_document",
    "rectangle_document",
    "to_plan",
]
