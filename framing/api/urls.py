"""The API under /api/v1/: the root operations here, those of quotes and orders from their apps."""

from typing import Any, ClassVar

from django.urls import URLPattern, URLResolver, include, path
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.views import SpectacularAPIView
from rest_framework.permissions import IsAuthenticated

from framing.api import (
    calculations,
    draw,
    find,
    floor_drawings,
    imports,
    lists,
    operations,
    plans,
    practices,
    repeats,
    span_tables,
    takeoff_files,
    takeoffs,
)
from framing.common.access import SIGNED_IN, Act

app_name = "api"


class KeptGenerator(SchemaGenerator):
    """The document is the same for everybody and takes half a second to make: once a process is enough."""

    kept: ClassVar[dict[str, Any] | None] = None

    def get_schema(self, request: object = None, public: bool = False) -> dict[str, Any]:
        """Return the document as it was first made; who asks has no say in it."""
        del request
        if KeptGenerator.kept is None:
            KeptGenerator.kept = dict(super().get_schema(None, public))  # type: ignore[no-untyped-call]
        return KeptGenerator.kept


class SchemaView(SpectacularAPIView):
    """The OpenAPI document, for those who are signed in."""

    access = Act(SIGNED_IN)
    generator_class = KeptGenerator


urlpatterns: list[URLPattern | URLResolver] = [
    path("schema/", SchemaView.as_view(permission_classes=[IsAuthenticated]), name="schema"),
    path("floor-schema/", operations.FloorSchemaView.as_view(), name="floor_schema"),
    path("preview", operations.PreviewView.as_view(), name="preview"),
    path("profiles", operations.ProfileListView.as_view(), name="profile_list"),
    path("span-table", span_tables.SpanTableView.as_view(), name="span_table"),
    path("span-table.csv", span_tables.SpanCsvView.as_view(), name="span_table_csv"),
    path("span-table/papers", span_tables.SpanPaperAskView.as_view(), name="span_table_papers"),
    path(
        "span-table/papers/<str:public_id>", span_tables.SpanPaperStateView.as_view(), name="span_table_state"
    ),
    path(
        "span-table/papers/<str:public_id>/pdf", span_tables.SpanPaperView.as_view(), name="span_table_paper"
    ),
    path("practice", practices.PracticeView.as_view(), name="practice"),
    path("practice/compare", practices.PracticeCompareView.as_view(), name="practice_compare"),
    path("practice/sets", practices.PracticeSetListView.as_view(), name="practice_set_list"),
    path("practice/sets/<str:public_id>", practices.PracticeSetView.as_view(), name="practice_set"),
    path(
        "practice/sets/<str:public_id>/force",
        practices.PracticeForceView.as_view(),
        name="practice_set_force",
    ),
    path(
        "practice/sets/<str:public_id>/effects",
        practices.PracticeEffectsView.as_view(),
        name="practice_set_effects",
    ),
    path("builders", operations.BuilderListView.as_view(), name="builder_list"),
    path("builders/<str:public_id>", operations.BuilderView.as_view(), name="builder"),
    path("projects", operations.ProjectListView.as_view(), name="project_list"),
    path("projects/<str:public_id>", operations.ProjectView.as_view(), name="project"),
    path("projects/<str:public_id>/floors", operations.FloorListView.as_view(), name="floor_list"),
    path("floors/<str:public_id>", operations.FloorView.as_view(), name="floor"),
    path("floors/<str:public_id>/takeoff", takeoffs.TakeoffView.as_view(), name="takeoff"),
    path("floors/<str:public_id>/takeoff.csv", takeoff_files.TakeoffCsvView.as_view(), name="takeoff_csv"),
    path("floors/<str:public_id>/takeoff.xlsx", takeoff_files.TakeoffXlsxView.as_view(), name="takeoff_xlsx"),
    path("floors/<str:public_id>/plan.dxf", takeoff_files.PlanDxfView.as_view(), name="plan_dxf"),
    path("floors/<str:public_id>/drawings", floor_drawings.DrawingsView.as_view(), name="drawings"),
    path(
        "floors/<str:public_id>/drawings/paper",
        floor_drawings.DrawingsPaperView.as_view(),
        name="drawings_paper",
    ),
    path(
        "floors/<str:public_id>/drawings/paper/pdf",
        floor_drawings.DrawingsPdfView.as_view(),
        name="drawings_pdf",
    ),
    path("floors/<str:public_id>/checks", calculations.CalculationView.as_view(), name="calculation"),
    path(
        "floors/<str:public_id>/checks/paper",
        calculations.CalculationPaperView.as_view(),
        name="calculation_paper",
    ),
    path(
        "floors/<str:public_id>/checks/paper/pdf",
        calculations.CalculationPdfView.as_view(),
        name="calculation_pdf",
    ),
    path("projects/<str:public_id>/draw/answer", draw.DrawAnswerView.as_view(), name="draw_answer"),
    path("projects/<str:public_id>/draw/change", draw.DrawChangeView.as_view(), name="draw_change"),
    path("projects/<str:public_id>/draw/places", draw.DrawPlacesView.as_view(), name="draw_places"),
    path("floors/<str:public_id>/repeat", repeats.FloorRepeatView.as_view(), name="floor_repeat"),
    path("floors/<str:public_id>/times", repeats.FloorTimesView.as_view(), name="floor_times"),
    path("floors/<str:public_id>/place", repeats.FloorPlaceView.as_view(), name="floor_place"),
    path("floors/<str:public_id>/take-off", repeats.FloorOffView.as_view(), name="floor_take_off"),
    path("projects/<str:public_id>/floors/put-back", repeats.FloorBackView.as_view(), name="floor_put_back"),
    path("floors/<str:public_id>/draft", draw.DraftView.as_view(), name="draft"),
    path("floors/<str:public_id>/presence", draw.PresenceView.as_view(), name="presence"),
    path("floors/<str:public_id>/versions", draw.VersionListView.as_view(), name="version_list"),
    path("floors/<str:public_id>/versions/<int:number>", draw.VersionView.as_view(), name="version"),
    path("projects/<str:public_id>/plans", plans.PlanListView.as_view(), name="plan_list"),
    path("projects/<str:public_id>/plans/<str:plan>", plans.PlanView.as_view(), name="plan"),
    path(
        "projects/<str:public_id>/plans/<str:plan>/import", imports.ImportView.as_view(), name="plan_import"
    ),
    path("plan-pages/<str:page>", plans.PlanPageView.as_view(), name="plan_page"),
    path("plan-pages/<str:page>/picture", plans.PlanPictureView.as_view(), name="plan_picture"),
    path("floors/<str:public_id>/under", plans.FloorUnderView.as_view(), name="floor_under"),
    path("find", find.FindView.as_view(), name="find"),
    path("keys", find.KeysView.as_view(), name="keys"),
    path("saved-filters", lists.SavedFilterListView.as_view(), name="saved_filter_list"),
    path("saved-filters/<str:public_id>", lists.SavedFilterView.as_view(), name="saved_filter"),
    path(
        "saved-filters/<str:public_id>/start",
        lists.SavedFilterStartView.as_view(),
        name="saved_filter_start",
    ),
    path("lists/<slug:key>/start", lists.ListStartView.as_view(), name="list_start"),
    path(
        "lists/builders.<slug:form>", lists.file_view("builders", "project").as_view(), name="builders_file"
    ),
    path(
        "lists/projects.<slug:form>", lists.file_view("projects", "project").as_view(), name="projects_file"
    ),
    path("lists/quotes.<slug:form>", lists.file_view("quotes", "quote").as_view(), name="quotes_file"),
    path("lists/orders.<slug:form>", lists.file_view("orders", "order").as_view(), name="orders_file"),
    path(
        "lists/deliveries.<slug:form>",
        lists.file_view("deliveries", "delivery").as_view(),
        name="deliveries_file",
    ),
    path("lists/claims.<slug:form>", lists.file_view("claims", "claim").as_view(), name="claims_file"),
    path(
        "lists/invoices.<slug:form>", lists.file_view("invoices", "invoice").as_view(), name="invoices_file"
    ),
    path("", include("quotes.api.urls")),
    path("", include("orders.api.urls")),
]
