"""The manifest of one load (R48) as one pure shape; paper, CSV, JSON, builder's page and driver's view all read it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, time
from typing import Any, Final

from django.db.models import Count, Prefetch

from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import company
from framing.engine.trucks import CAUTION, TIES_SOURCE
from orders.delivery_gear import heavy_words, lift_of, too_heavy
from orders.load_facts import thing_id
from orders.load_figures import Riding, riding_of
from orders.models import Bundle, Carton, TruckLoad
from orders.selectors import content_words, mark_counts, offer_words
from quotes.selectors import revision_by_pk

LIFT_SHARE: Final = 5  # lift points at 1/5 of the length from both ends (R36)


@dataclass(frozen=True, slots=True)
class MarkLine:
    """Equal pieces of a bundle."""

    mark: str
    count: int
    length_16: int


@dataclass(frozen=True, slots=True)
class BundleLine:
    """A bundle of the load.

    Attributes:
        id: as plans of trucks name it, `SO-2026-0003-B4`; `code` stands on its tag; both "" on a sample.
        off: when it comes off at this stop, 1 first.
        place: floor and zone.
        lane, tier: where it lies; 0 where trucks are planned by weight alone.
        too_heavy: why what unloads there may not lift it; "" where nothing is known against it.
    """

    id: str
    code: str
    number: int
    profile: str
    place: str
    floors: tuple[str, ...]
    marks: tuple[MarkLine, ...]
    length_16: int
    weight_lb: float
    note: str
    off: int
    lane: int = 0
    tier: int = 0
    too_heavy: str = ""

    @property
    def pieces(self) -> int:
        return sum(mark.count for mark in self.marks)

    @property
    def lift_16(self) -> int:
        """Distance of the lift points from both ends, down to a whole sixteenth (R36)."""
        return self.length_16 // LIFT_SHARE


@dataclass(frozen=True, slots=True)
class CartonLine:
    """A carton of the load; see BundleLine. `contents` are in words."""

    id: str
    code: str
    number: int
    title: str
    contents: tuple[str, ...]
    weight_lb: float
    off: int
    lane: int = 0
    tier: int = 0


@dataclass(frozen=True, slots=True)
class Hold:
    """How the whole truck is held: least number of tie-downs, what they must add up to, where they go across from the
    headboard, dunnage as (length, count)."""

    tie_downs: int
    least_wll_lb: float
    rows_16: tuple[int, ...]
    sticks: tuple[tuple[int, int], ...]
    source: str = TIES_SOURCE
    caution: str = CAUTION


@dataclass(frozen=True, slots=True)
class Manifest:
    """All that a manifest tells of one load; nothing of it is a price.

    Attributes:
        number: `<delivery>-<load>`.
        draft: the truck is not loaded yet, so all may change.
        stop, stops: which stop of its trip this is, and of how many; 0 without a trip.
        window_from, window_to: the clock of the site, in `zone`.
        bundles, cartons: in order of unloading.
        warnings: what stands out over the deck, what is too heavy for the gear there.
        hold: None where trucks are planned by weight alone.
        sketch: deck and side view of the whole truck as SVG, "" without a trip; `sheets` the same in parts for paper.
        code: opaque, for the QR code; "" on a sample.
    """

    number: str
    draft: bool
    delivery: str
    load: int
    trip: str
    truck: str
    driver: str
    driver_phone: str
    stop: int
    stops: int
    order: str
    quote: str
    project: str
    builder: str
    site: str
    zone: str
    contact: str
    phone: str
    planned_for: date | None
    window_from: time | None
    window_to: time | None
    notes: str
    gear: str
    gear_limit_lb: int | None
    units: str
    bundles: tuple[BundleLine, ...]
    cartons: tuple[CartonLine, ...]
    weight_lb: float
    warnings: tuple[str, ...]
    hold: Hold | None
    sketch: str
    code: str
    call_name: str
    call_phone: str
    cautions: tuple[str, ...]
    engine_note: str
    issued_at: datetime
    sheets: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        return sum(bundle.pieces for bundle in self.bundles)

    @property
    def bundle_count(self) -> int:
        return len(self.bundles)

    @property
    def carton_count(self) -> int:
        return len(self.cartons)


def manifest_number(load: TruckLoad) -> str:
    """`D-2026-0007-2`: the second load of a delivery."""
    return f"{load.delivery.number}-{load.number}"


def manifest_of(load: TruckLoad) -> Manifest:
    """The manifest of a load, from its rows as they are now. `load.delivery` may be joined."""
    delivery, riding = load.delivery, riding_of(load)
    order = delivery.order
    project = order.revision.quote.project
    bundles, cartons = _numbered(_bundle_lines(load, riding), _carton_lines(load, riding))
    supplier, trip = company(), load.trip
    return Manifest(
        number=manifest_number(load),
        draft=load.loaded_at is None,
        delivery=delivery.number,
        load=load.number,
        trip=trip.number if trip else "",
        truck=trip.truck_name if trip else "",
        driver=trip.driver if trip else "",
        driver_phone=trip.driver_phone if trip else "",
        stop=load.stop if trip else 0,
        stops=trip.loads.count() if trip else 0,
        order=order.number,
        quote=offer_words(order),
        project=project.name,
        builder=project.builder.name,
        site=str(project.site),
        zone=project.site.time_zone,
        contact=delivery.contact,
        phone=delivery.phone,
        planned_for=delivery.planned_for,
        window_from=delivery.window_from,
        window_to=delivery.window_to,
        notes=delivery.notes,
        gear=delivery.get_gear_display(),
        gear_limit_lb=delivery.gear_limit_lb,
        units=project.units,
        bundles=bundles,
        cartons=cartons,
        weight_lb=round(sum(b.weight_lb for b in bundles) + sum(c.weight_lb for c in cartons), 1),
        warnings=_warnings(load, riding),
        hold=_hold(riding),
        sketch=riding.sketch if riding else "",
        code=load.public_id,
        call_name=order.owner.name,
        call_phone=supplier.phone,
        cautions=SITE_CAUTIONS,
        engine_note=_engine_note(load),
        issued_at=load.loaded_at or delivery.created_at,
        sheets=riding.sheets if riding else (),
    )


def _engine_note(load: TruckLoad) -> str:
    revision = revision_by_pk(load.delivery.order.revision_id)
    return engine_note(revision.engine_version, revision.catalogue_version)


def engine_note(engine: str, catalogue: str) -> str:
    return f"Counted by engine {engine} with catalogue {catalogue}."


def _bundle_lines(load: TruckLoad, riding: Riding | None) -> tuple[BundleLine, ...]:
    lines = []
    for row in load.bundles.all():
        off, lane, tier = _place(row, riding)
        pieces = sorted(row.pieces.all(), key=lambda piece: piece.position)
        lines.append(
            BundleLine(
                id=thing_id(row),
                code=row.code,
                number=row.number,
                profile=row.profile,
                place=row.zone,
                floors=tuple(sorted({piece.floor for piece in pieces})),
                marks=tuple(MarkLine(m.mark, m.count, m.length_16) for m in mark_counts(pieces)),
                length_16=row.length_16,
                weight_lb=float(row.weighed_lb or row.weight_lb),
                note=row.note,
                off=off,
                lane=lane,
                tier=tier,
                too_heavy=too_heavy(row, lift_of(load.delivery)),
            )
        )
    return _in_order(lines)


def _carton_lines(load: TruckLoad, riding: Riding | None) -> tuple[CartonLine, ...]:
    lines = []
    for row in load.cartons.all():
        off, lane, tier = _place(row, riding)
        contents = tuple(content_words(row.contents))
        weight = float(row.weight_lb)
        lines.append(
            CartonLine(thing_id(row), row.code, row.number, row.title, contents, weight, off, lane, tier)
        )
    return _in_order(lines)


def _in_order(lines: Sequence[Any]) -> tuple[Any, ...]:
    return tuple(sorted(lines, key=lambda line: (line.off, line.number)))


def _numbered(
    bundles: Sequence[BundleLine], cartons: Sequence[CartonLine]
) -> tuple[tuple[BundleLine, ...], tuple[CartonLine, ...]]:
    """The same with `off` counted from 1 over both."""
    order = {line.id: place for place, line in enumerate(_in_order([*bundles, *cartons]), 1)}
    return (
        tuple(replace(line, off=order[line.id]) for line in bundles),
        tuple(replace(line, off=order[line.id]) for line in cartons),
    )


def _place(row: Bundle | Carton, riding: Riding | None) -> tuple[int, int, int]:
    """When it comes off, its lane and tier; without a trip bundles go by number, cartons after them."""
    place = riding.places.get(thing_id(row)) if riding else None
    if place is not None:
        return place
    return row.number + (0 if isinstance(row, Bundle) else 10_000), 0, 0


def _warnings(load: TruckLoad, riding: Riding | None) -> tuple[str, ...]:
    heavy = heavy_words([*load.bundles.all(), *load.cartons.all()], lift_of(load.delivery))
    return (*(riding.overhangs if riding else ()), *heavy)


def _hold(riding: Riding | None) -> Hold | None:
    if riding is None:
        return None
    truck = riding.truck
    sticks = tuple((one.length_16, one.count) for one in truck.dunnage)
    return Hold(truck.tie_downs, truck.least_wll_lb, truck.rows_16, sticks)


def load_rows() -> Any:
    """Loads with all that a manifest reads, joined: so many queries however many bundles there are."""
    bundles = (
        Bundle.objects.select_related("order")
        .prefetch_related("pieces")
        .annotate(piece_count=Count("pieces"))
    )
    joined = TruckLoad.objects.select_related(
        "trip__truck",
        "delivery__order__owner",
        "delivery__order__revision__quote__project__builder",
        "delivery__order__revision__quote__project__site",
        "delivery__order__revision__acceptance__alternate",
    )
    return joined.prefetch_related(
        Prefetch("bundles", bundles.order_by("number")),
        Prefetch("cartons", Carton.objects.select_related("order").order_by("number")),
    )


def manifest_json(manifest: Manifest) -> dict[str, Any]:
    """The same as JSON, version 1: no sketch, lengths in sixteenths of an inch, weights in pounds."""
    data = {name: value for name, value in asdict(manifest).items() if name not in ("sketch", "sheets")}
    for name in ("planned_for", "window_from", "window_to", "issued_at"):
        data[name] = data[name].isoformat() if data[name] is not None else None
    for line, bundle in zip(data["bundles"], manifest.bundles, strict=True):
        line |= {"pieces": bundle.pieces, "lift_16": bundle.lift_16}
    return {"format": "spanyard.manifest", "version": 1, **data, "pieces": manifest.pieces}


CSV_HEAD: Final = (
    "manifest", "off", "kind", "number", "code", "profile_or_title", "place", "mark", "count", "length_16",
    "bundle_length_16", "lift_16", "weight_lb", "lane", "tier", "note",
)  # fmt: skip


def manifest_csv_rows(manifest: Manifest) -> list[tuple[Any, ...]]:
    """The same as rows: one for each mark of a bundle, one for each line of a carton; weights in their first row."""
    rows: list[tuple[Any, ...]] = []
    for b in manifest.bundles:
        for place, mark in enumerate(b.marks or (MarkLine("", 0, 0),)):
            rows.append((
                manifest.number, b.off, "bundle", b.number, b.code, b.profile, b.place, mark.mark, mark.count,
                mark.length_16, b.length_16, b.lift_16, "" if place else b.weight_lb, b.lane, b.tier, b.note,
            ))  # fmt: skip
    for c in manifest.cartons:
        for place, words in enumerate(c.contents or ("",)):
            rows.append((
                manifest.number, c.off, "carton", c.number, c.code, c.title, "", words, "", "", "", "",
                "" if place else c.weight_lb, c.lane, c.tier, "",
            ))  # fmt: skip
    return rows
