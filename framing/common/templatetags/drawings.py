"""Our own SVG drawings on a page. The one place that lets markup through unescaped, after checking it."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from django import template
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

SVG = "{http://www.w3.org/2000/svg}"
SHAPES = ("path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan")
FRAMES = ("svg", "g", "title", "desc", "defs", "use", "pattern", "clipPath")
ALLOWED = frozenset((*SHAPES, *FRAMES))


class DrawingRefused(ValueError):
    """A drawing holds an element or attribute that ours never have."""


@register.filter
def drawing(svg: str) -> SafeString:
    """An SVG made by `framing.drawing`, as markup. Raises DrawingRefused where one could act or load."""
    if "<!" in svg:  # no declarations, so no entities to expand
        raise DrawingRefused("a drawing has no declarations")
    for element in ET.fromstring(svg).iter():  # noqa: S314  # no declarations, checked above
        if element.tag.removeprefix(SVG) not in ALLOWED:
            raise DrawingRefused(f"element {element.tag}")
        for name, value in element.attrib.items():
            bare = name.rsplit("}", 1)[-1].lower()
            outside = bare == "href" and not value.startswith("#")
            if bare.startswith("on") or bare == "style" or outside:
                raise DrawingRefused(f"attribute {name}")
    return mark_safe(svg)  # noqa: S308  # every element and attribute was checked above
