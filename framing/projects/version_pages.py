"""What pages of a floor's saved version share: which version is asked for, its addresses, how far a paper is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.projects import selectors
from framing.projects.models import FloorVersion
from framing.projects.versions import VersionBasis, VersionPaper, current_basis, version_named
from framing.projects.views import role_may


def asked_version(request: HttpRequest, public_id: str) -> FloorVersion:
    """The version that `version` in the form or the address names, the newest without it. Raises NotThere."""
    asked = request.POST if request.method == "POST" else request.GET
    return version_named(asked.get("version", ""), selectors.floor_get(public_id))


def version_query(version: FloorVersion) -> str:
    """What an address needs to stay at this version; nothing at the newest."""
    return "" if version.number == version.floor.version else f"?version={version.number}"


def version_address(name: str, version: FloorVersion) -> str:
    return f"{reverse(name, args=[version.floor.public_id])}{version_query(version)}"


@dataclass(frozen=True, slots=True)
class PaperPages:
    """A paper of a version with the names of its routes; `missing` is said where it is fetched too early."""

    paper: VersionPaper
    ask: str
    fetch: str
    state: str
    missing: str

    def context(self, request: HttpRequest, basis: VersionBasis) -> dict[str, Any]:
        """The paper, or how far it is, with the addresses of its buttons; nothing is designed for it."""
        state, version = self.paper.state(basis), basis.version
        return {
            "floor": version.floor,
            "version": version,
            "query": version_query(version),
            "paper": state.paper,
            "job": state.job,
            "paper_url": version_address(self.fetch, version),
            "ask_url": reverse(self.ask, args=[version.floor.public_id]),
            "state_url": version_address(self.state, version),
            "may_ask": role_may(request, "calculation", "ask"),
        }

    def show_state(self, request: HttpRequest, public_id: str) -> HttpResponse:
        """The part of the page that tells how far the paper is; the page asks for it while work is under way."""
        basis = current_basis(asked_version(request, public_id))
        return render(request, "projects/_version_paper.html", self.context(request, basis))

    def hand_out(self, request: HttpRequest, public_id: str) -> HttpResponse:
        """The stored paper by the engine, catalogue and practice set in force. Raises NotThere."""
        paper = self.paper.state(current_basis(asked_version(request, public_id))).paper
        if paper is None:
            raise NotThere(self.missing)
        return paper_response(paper)
