"""Addresses of orders, bundles and deliveries, and of a builder's delivery."""

from django.urls import path

from orders import line_urls
from orders.views import bundles, deliveries, orders, release, your_order, yours

app_name = "orders"

urlpatterns = [
    *line_urls.PATTERNS,
    path("", orders.order_page_list, name="order_list"),
    path("list.<slug:form>", orders.order_file, name="order_file"),
    path("bundles/", bundles.bundle_page_list, name="bundle_list"),
    path("bundles/<str:public_id>/", bundles.bundle_page, name="bundle_page"),
    path("bundles/<str:public_id>/finish/", bundles.finish, name="bundle_finish"),
    path("deliveries/", deliveries.delivery_page_list, name="delivery_list"),
    path("deliveries/list.<slug:form>", deliveries.delivery_file, name="delivery_file"),
    path("deliveries/<str:public_id>/", deliveries.delivery_page, name="delivery_page"),
    path("deliveries/<str:public_id>/load/", deliveries.load, name="delivery_load"),
    path("deliveries/<str:public_id>/deliver/", deliveries.deliver, name="delivery_deliver"),
    path("deliveries/<str:public_id>/link/", deliveries.link_new, name="delivery_link_make"),
    path(
        "deliveries/<str:public_id>/link/<str:link_id>/withdraw/",
        deliveries.link_end,
        name="delivery_link_withdraw",
    ),
    path("deliveries/<str:public_id>/manifest/", deliveries.manifest, name="manifest"),
    path("your/<str:public_id>/", yours.your_delivery, name="your_delivery"),
    path("your/<str:public_id>/manifest/", yours.your_manifest, name="your_delivery_manifest"),
    path("your-order/<str:public_id>/", your_order.your_order, name="your_order"),
    path(
        "your-order/<str:public_id>/drawings/<int:number>/",
        your_order.your_order_drawings,
        name="your_order_drawings",
    ),
    path(
        "your-order/<str:public_id>/drawings/<int:number>/answer/",
        your_order.your_order_answer,
        name="your_order_answer",
    ),
    path("<str:public_id>/", orders.order_page, name="order_page"),
    path("<str:public_id>/day/", release.deliver_on, name="order_deliver_on"),
    path("<str:public_id>/deposits/", release.deposit_record, name="deposit_record"),
    path(
        "<str:public_id>/deposits/<int:deposit_id>/take-back/",
        release.deposit_take_back,
        name="deposit_take_back",
    ),
    path("<str:public_id>/drawings/send/", release.drawings_send, name="drawings_send"),
    path("<str:public_id>/drawings/record/", release.drawings_record, name="drawings_record"),
    path("<str:public_id>/drawings/<int:number>/", release.drawings_paper, name="order_drawings"),
    path("<str:public_id>/approve-drawings/", orders.approve_drawings, name="order_approve_drawings"),
    path("<str:public_id>/release/", orders.release, name="order_release"),
    path("<str:public_id>/roll/", orders.roll, name="order_roll"),
    path("<str:public_id>/bundle/", orders.bundle, name="order_bundle"),
    path("<str:public_id>/close/", orders.close, name="order_close"),
    path("<str:public_id>/hold/", orders.hold, name="order_hold"),
    path("<str:public_id>/resume/", orders.resume, name="order_resume"),
    path("<str:public_id>/cancel/", orders.cancel, name="order_cancel"),
    path("<str:public_id>/tags/", orders.tags, name="bundle_tags"),
    path("<str:public_id>/delivery/", deliveries.delivery_new, name="delivery_new"),
]
