"""Addresses of the builder's page of a delivery, and of what staff read of its receipt."""

from django.urls import path

from orders import receipt_views, site_views
from orders.views import tags, yours

_YOURS = "your/<str:public_id>/"

PATTERNS = [
    path("deliveries/<str:public_id>/receipt/", receipt_views.receipt_page, name="receipt_page"),
    path("deliveries/<str:public_id>/receipt/act/", receipt_views.receipt_act_of_staff, name="receipt_act"),
    path("deliveries/<str:public_id>/receipt/photo/", receipt_views.photo_of_staff, name="receipt_photo"),
    path("site-photos/<str:public_id>/", receipt_views.site_photo, name="site_photo"),
    path(_YOURS, site_views.your_delivery, name="your_delivery"),
    path(_YOURS + "acts/", site_views.your_acts, name="your_acts"),
    path(_YOURS + "act/", site_views.your_act, name="your_act"),
    path(_YOURS + "thing/<str:code>/", site_views.your_thing, name="your_thing"),
    path(_YOURS + "photos/", site_views.your_photo_take, name="your_photo_take"),
    path(_YOURS + "photos/<str:photo>/", site_views.your_photo, name="your_photo"),
    path(_YOURS + "where/<int:place>/<slug:digest>/", site_views.your_where, name="your_where"),
    path(_YOURS + "worker.js", site_views.your_worker, name="your_worker"),
    path(_YOURS + "delivery.webmanifest", site_views.your_app, name="your_app"),
    path(_YOURS + "language/", site_views.your_delivery_language, name="your_delivery_language"),
    path(_YOURS + "drawings/", site_views.your_delivery_drawings, name="your_delivery_drawings"),
    path(_YOURS + "tag/", tags.your_tag, name="your_tag"),
    path(_YOURS + "manifest/", yours.your_manifest, name="your_delivery_manifest"),
    path("your-order/<str:public_id>/language/", site_views.your_order_language, name="your_order_language"),
]
