"""The cautions of every quote, drawing and manifest, in one place so that all papers say the same."""

from __future__ import annotations

SIZING = (
    "Joist sizes here help to sell and to plan; they are not an engineer's design. A licensed engineer "
    "responsible for the building checks and seals the framing where the local code asks for it, "
    "and local codes rule."
)
CHECKED = (
    "Checked here by AISI S100: bending with its forms of buckling, shear, web crippling at bare bearings, their "
    "combinations, service holes and deflection. Holes in webs over h/t 200 stand by the limits of IRC R505.2.6.1 "
    "alone. Vibration is shown for information unless asked for. Not checked here: clips, plates and fasteners, "
    "concentrated loads of the code, what stands below the floor, wind, earthquake, fire and sound."
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

QUOTE_CAUTIONS = (SIZING, CHECKED, BRACING, LIFTING, HOLES, RATINGS)
SITE_CAUTIONS = (BRACING, LIFTING, STORING, HOLES, RATINGS, SIZING)
