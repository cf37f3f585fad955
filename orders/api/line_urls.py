"""Addresses of lines, their plans and coils in the API."""

from django.urls import path

from orders.api import lines

_PLAN = "line-plans/<str:public_id>/"

PATTERNS = [
    path("lines/", lines.LineListView.as_view(), name="line_list"),
    path("lines/make/", lines.LineMakeView.as_view(), name="line_make"),
    path("lines/<str:public_id>/", lines.LineChangeView.as_view(), name="line_change"),
    path("closures/", lines.ClosureListView.as_view(), name="closure_list"),
    path("closures/add/", lines.ClosureAddView.as_view(), name="closure_add"),
    path("closures/<int:pk>/remove/", lines.ClosureRemoveView.as_view(), name="closure_remove"),
    path("line-settings/", lines.LineSettingsGetView.as_view(), name="line_settings_get"),
    path("line-settings/save/", lines.LineSettingsSaveView.as_view(), name="line_settings_save"),
    path("change-overs/", lines.ChangeOverListView.as_view(), name="change_over_list"),
    path("change-overs/grid/", lines.ChangeOverGridView.as_view(), name="change_over_grid"),
    path("change-overs/save/", lines.ChangeOversSaveView.as_view(), name="change_overs_save"),
    path("change-overs/set/", lines.ChangeOverSetView.as_view(), name="change_over_set"),
    path("line-plans/", lines.LinePlanListView.as_view(), name="line_plan_list"),
    path("line-plans/ask/", lines.LinePlanAskView.as_view(), name="line_plan_ask"),
    path("line-plans/rush/", lines.LinePlanRushView.as_view(), name="line_plan_rush"),
    path(_PLAN, lines.LinePlanGetView.as_view(), name="line_plan_get"),
    path(_PLAN + "stop/", lines.LinePlanStopView.as_view(), name="line_plan_stop"),
    path(_PLAN + "take/", lines.LinePlanTakeView.as_view(), name="line_plan_take"),
    path(_PLAN + "refuse/", lines.LinePlanRefuseView.as_view(), name="line_plan_refuse"),
    path("bundles/<str:public_id>/pin/", lines.BundlePinView.as_view(), name="bundle_pin"),
    path("bundles/<str:public_id>/unpin/", lines.BundleUnpinView.as_view(), name="bundle_unpin"),
    path("coils/", lines.CoilListView.as_view(), name="coil_list"),
    path("coils/count/", lines.CoilCountView.as_view(), name="coil_count"),
]
