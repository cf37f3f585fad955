"""Addresses of lines, their plans and coils; they stand under those of orders."""

from django.urls import path

from orders.views import change_overs, line_setup, lines

PATTERNS = [
    path("lines/", lines.line_board, name="line_board"),
    path("lines/line-plans/ask/", lines.line_plan_ask, name="line_plan_ask"),
    path("lines/line-plans/rush/", lines.line_plan_rush, name="line_plan_rush"),
    path("lines/line-plans/<str:public_id>/", lines.line_plan_page, name="line_plan_page"),
    path("lines/line-plans/<str:public_id>/stop/", lines.line_plan_stop, name="line_plan_stop"),
    path("lines/line-plans/<str:public_id>/take/", lines.line_plan_take, name="line_plan_take"),
    path("lines/line-plans/<str:public_id>/refuse/", lines.line_plan_refuse, name="line_plan_refuse"),
    path("lines/coils/", lines.coil_page, name="coil_page"),
    path("lines/coils/count/", lines.coil_count, name="coil_count"),
    path("lines/setup/", line_setup.line_setup, name="line_setup"),
    path("lines/setup/new/", line_setup.line_new, name="line_new"),
    path("lines/setup/closures/", line_setup.closure_add, name="closure_add"),
    path("lines/setup/closures/<int:pk>/remove/", line_setup.closure_remove, name="closure_remove"),
    path("lines/setup/settings/", line_setup.line_settings, name="line_settings"),
    path("lines/setup/change-overs/", change_overs.change_overs, name="change_overs"),
    path("lines/setup/change-overs/save/", change_overs.change_overs_save, name="change_overs_save"),
    path("lines/setup/change-overs/pair/", change_overs.change_over, name="change_over"),
    path("lines/<str:public_id>/", line_setup.line_page, name="line_page"),
    path("bundles/<str:public_id>/move/", lines.bundle_move, name="bundle_move"),
    path("bundles/<str:public_id>/unpin/", lines.bundle_unpin, name="bundle_unpin"),
]
