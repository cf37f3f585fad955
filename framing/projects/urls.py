"""Addresses of builders, projects, floors and profiles."""

from django.urls import path

from framing.projects import (
    drawing_views,
    floor_views,
    practice_views,
    sheet_views,
    span_views,
    takeoff_file_views,
    takeoff_views,
    views,
)

app_name = "projects"

urlpatterns = [
    path("", views.project_list, name="project_list"),
    path("new/", views.project_new, name="project_new"),
    path("builders/", views.builder_list, name="builder_list"),
    path("builders/new/", views.builder_new, name="builder_new"),
    path("builders/<str:public_id>/", views.builder_page, name="builder_page"),
    path("profiles/", views.profile_list, name="profile_list"),
    path("profiles/spans/", span_views.span_page, name="span_page"),
    path("profiles/spans/table.csv", span_views.span_csv, name="span_csv"),
    path("profiles/spans/paper/", span_views.span_paper_ask, name="span_paper_ask"),
    path("profiles/spans/papers/<str:public_id>/", span_views.span_paper, name="span_paper"),
    path("practice/", practice_views.practice_page, name="practice_page"),
    path("practice/new/", practice_views.practice_new, name="practice_new"),
    path("practice/compare/", practice_views.practice_compare, name="practice_compare"),
    path("practice/<str:public_id>/", practice_views.practice_version, name="practice_version"),
    path("practice/<str:public_id>/change/", practice_views.practice_change, name="practice_change"),
    path("practice/<str:public_id>/force/", practice_views.practice_force, name="practice_force"),
    path("preview/", floor_views.floor_preview, name="floor_preview"),
    path("floors/<str:public_id>/", floor_views.floor_page, name="floor_page"),
    path("floors/<str:public_id>/takeoff/", takeoff_views.takeoff_page, name="takeoff_page"),
    path("floors/<str:public_id>/takeoff.csv", takeoff_file_views.takeoff_csv, name="takeoff_csv"),
    path("floors/<str:public_id>/takeoff.xlsx", takeoff_file_views.takeoff_xlsx, name="takeoff_xlsx"),
    path("floors/<str:public_id>/plan.dxf", takeoff_file_views.plan_dxf, name="plan_dxf"),
    path("floors/<str:public_id>/drawings/", drawing_views.drawings_page, name="drawings_page"),
    path("floors/<str:public_id>/drawings/ask/", drawing_views.drawings_paper_ask, name="drawings_paper_ask"),
    path("floors/<str:public_id>/drawings/paper/", drawing_views.drawings_paper, name="drawings_paper"),
    path(
        "floors/<str:public_id>/drawings/state/",
        drawing_views.drawings_paper_state,
        name="drawings_paper_state",
    ),
    path("floors/<str:public_id>/checks/", sheet_views.sheet_list, name="sheet_list"),
    path("floors/<str:public_id>/checks/ask/", sheet_views.sheet_paper_ask, name="sheet_paper_ask"),
    path("floors/<str:public_id>/checks/paper/", sheet_views.sheet_paper, name="sheet_paper"),
    path("floors/<str:public_id>/checks/state/", sheet_views.sheet_paper_state, name="sheet_paper_state"),
    path("floors/<str:public_id>/checks/<str:reference>/", sheet_views.sheet_page, name="sheet_page"),
    path("<str:public_id>/", views.project_page, name="project_page"),
    path("<str:public_id>/floors/new/", floor_views.floor_new, name="floor_new"),
]
