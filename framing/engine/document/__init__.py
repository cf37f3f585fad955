"""The floor document: read it, publish its schema, turn it into the floor that the engine designs."""

from framing.engine.document.builders import rectangle_document
from framing.engine.document.conversion import to_plan
from framing.engine.document.reading import MAX_BYTES, dump_document, json_schema, read_document
from framing.engine.document.shape import FloorDocument

__all__ = [
    "MAX_BYTES",
    "FloorDocument",
    "dump_document",
    "json_schema",
    "read_document",
    "rectangle_document",
    "to_plan",
]
