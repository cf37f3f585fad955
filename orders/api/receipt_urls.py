"""Addresses of the API of receipts and of photos from the site."""

from django.urls import path

from orders.api import receipts

_DELIVERY = "deliveries/<str:public_id>/"

PATTERNS = [
    path(_DELIVERY + "receipt/", receipts.ReceiptGetView.as_view(), name="receipt_get"),
    path(_DELIVERY + "receipt/act/", receipts.ReceiptActView.as_view(), name="receipt_act"),
    path(_DELIVERY + "photos/", receipts.SitePhotoListView.as_view(), name="site_photo_list"),
    path(_DELIVERY + "photos/take/", receipts.SitePhotoTakeView.as_view(), name="site_photo_take"),
    path("site-photos/<str:photo>/", receipts.SitePhotoPictureView.as_view(), name="site_photo_picture"),
]
