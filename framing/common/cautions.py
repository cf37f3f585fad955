"""The cautions of every quote, drawing and manifest, in one place so that all papers say the same."""

from __future__ import annotations

SIZING = (
    "Joist sizes here help to sell and to plan; they are not an engineer's design. A licensed engineer "
    "responsible for the building checks and seals the framing where the local code asks for it, "
    "and local codes rule."
)
BRACING = (
    "Joists do not stand safely until they are braced and sheathed. "
    "Nobody walks on the floor or loads it before that."
)
LIFTING = (
    "Lift bundles only at the marked points, with rated gear and with nobody under the load. Cut edges are "
    "sharp: wear gloves. Follow the site's fall-protection rules."
)
HOLES = "Do not cut or enlarge holes on site without the engineer's word."
RATINGS = "Fire and sound ratings belong to tested assemblies; this paper states none."
STORING = (
    "Keep bundles off the ground, upright, as they were delivered. "
    "Steel does not swell, but keep the cartons dry."
)

QUOTE_CAUTIONS = (SIZING, BRACING, LIFTING, HOLES, RATINGS)
DRAWING_CAUTIONS = (SIZING, BRACING, HOLES)
SITE_CAUTIONS = (BRACING, LIFTING, STORING, HOLES, RATINGS, SIZING)
