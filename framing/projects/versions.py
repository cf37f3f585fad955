"""A floor's saved version: what its numbers follow from, and the papers that the worker makes of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Final

from framing.common.errors import NotThere
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.papers import paper_get
from framing.engine import ENGINE_VERSION
from framing.engine.catalogue import Catalogue, load_catalogue
from framing.engine.errors import EngineError, Problem
from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from framing.projects import selectors
from framing.projects.design import design_plan, plan_of, problems_of
from framing.projects.models import Floor, FloorVersion, PracticeSet

_VERSION_SIGNS: Final = 9
_SHORT_ID: Final = 8
_TITLE_MOST: Final = 24
_DIGEST: Final = 24  # signs of the digest in a paper's kind


@dataclass(frozen=True)
class VersionBasis:
    """What the numbers of a version follow from; cheap, nothing is designed yet."""

    version: FloorVersion
    practice: Practice
    practice_row: PracticeSet | None
    catalogue: Catalogue

    @property
    def parts(self) -> tuple[FloorVersion, Practice, PracticeSet | None, Catalogue]:
        """What a richer answer on the same basis starts with."""
        return self.version, self.practice, self.practice_row, self.catalogue

    @property
    def engine_version(self) -> str:
        return ENGINE_VERSION

    @property
    def catalogue_version(self) -> str:
        return self.catalogue.version

    @property
    def practice_words(self) -> str:
        return f"{self.practice.name} {self.practice.version}, {self.practice.method.value}"

    @property
    def digest(self) -> str:
        """Equal for equal numbers: the engine, the catalogue and every value of the practice set."""
        text = "\n".join((self.engine_version, self.catalogue_version, repr(self.practice)))
        return hashlib.sha256(text.encode()).hexdigest()[:_DIGEST]

    def design(self) -> FloorResult:
        """The version, designed anew. Raises EngineError where it can't be built."""
        return design_plan(plan_of(self.version.document, self.practice), self.practice)

    def designed(self) -> tuple[FloorResult | None, tuple[Problem, ...]]:
        """The version, designed anew, or None and the problems for which it can't be built."""
        try:
            return self.design(), ()
        except EngineError as error:
            return None, problems_of(error)


def version_named(text: str, floor: Floor) -> FloorVersion:
    """The saved version of that number, the newest for an empty text, with its floor at hand. Raises NotThere."""
    if text and not (text.isascii() and text.isdigit() and len(text) < _VERSION_SIGNS):
        raise NotThere
    version = selectors.floor_version(floor, int(text) if text else None)
    version.floor = floor
    return version


def version_basis(version: FloorVersion, practice_row: PracticeSet | None) -> VersionBasis:
    """The basis by one practice set; None takes the rules' own defaults."""
    practice = Practice() if practice_row is None else selectors.practice_of(practice_row)
    return VersionBasis(version, practice, practice_row, load_catalogue())


def current_basis(version: FloorVersion) -> VersionBasis:
    """The basis of a saved version by the practice set in force now."""
    return version_basis(version, selectors.practice_set_in_force())


def floor_file_name(version: FloorVersion, words: str) -> str:
    """Name of a file of a version: nothing that somebody typed, for it stands in a header of the answer."""
    return f"floor-{version.floor.public_id[:_SHORT_ID]}-v{version.number}-{words}"


def version_title(version: FloorVersion) -> str:
    """The floor and its version as a paper's title strip names them."""
    name = version.floor.name
    short = name if len(name) <= _TITLE_MOST else f"{name[: _TITLE_MOST - 1]}\N{HORIZONTAL ELLIPSIS}"
    return f"{short} v{version.number}"


@dataclass(frozen=True, slots=True)
class PaperState:
    """The stored paper, or the work that makes it; neither where nobody asked yet."""

    paper: StoredPaper | None
    job: OutboxEntry | None


@dataclass(frozen=True, slots=True)
class VersionPaper:
    """A kind of paper of a saved version.

    Attributes:
        work: kind of the outbox row that makes it.
        kind: begins the kind of the stored paper.
        edition: raised when equal numbers are shown in another way, so that papers are made anew.
    """

    work: str
    kind: str
    edition: str = ""

    def stored_kind(self, basis: VersionBasis) -> str:
        """A new engine, catalogue, practice set or edition makes a new paper of the same version."""
        return f"{self.kind}{self.edition}:{basis.digest}"

    def work_key(self, basis: VersionBasis) -> str:
        key = f"{basis.version.pk}:{basis.digest}"
        return f"{key}:{self.edition}" if self.edition else key

    def state(self, basis: VersionBasis) -> PaperState:
        """How far the paper is; nothing is designed for it."""
        paper = paper_get(self.stored_kind(basis), basis.version)
        if paper is not None:
            return PaperState(paper, None)
        row = OutboxEntry.objects.filter(kind=self.work, key=self.work_key(basis)).first()
        return PaperState(None, row)


CALCULATION_PAPER: Final = VersionPaper("calculation_paper", "calculation")
DRAWINGS_PAPER: Final = VersionPaper("drawings_paper", "drawings", "1")
