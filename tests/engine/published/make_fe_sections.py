"""Makes fe_sections.csv, the finite-element values that the section tests hold the engine against.

Run from the top of the repository, where `sectionproperties` is installed; it takes about a minute:

    PYTHONPATH=. .venv/bin/python tests/engine/published/make_fe_sections.py
"""

from __future__ import annotations

import csv

from tests.engine.published.fe_sections import COLUMNS, STORED, run, shapes

FACETS = 40
MESHES_IN_WALL = 4.0


def main() -> None:
    """Write every section's values with six digits."""
    with STORED.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["section", *COLUMNS])
        for name, section in shapes().items():
            found = run(section, FACETS, MESHES_IN_WALL)
            table.writerow([name, *(f"{found[column]:.6g}" for column in COLUMNS)])


if __name__ == "__main__":
    main()
