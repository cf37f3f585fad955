"""Pieces to bundles, the rest to numbered packs (R32-R36)."""

from framing.engine.bundling.package import bundle_package

__all__ = ["bundle_package"]
