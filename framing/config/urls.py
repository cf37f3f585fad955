"""Every address begins here; the apps own what follows their prefix."""

from allauth.account.decorators import secure_admin_login
from django.contrib import admin
from django.urls import include, path

# The admin's own form would stand outside the limits on sign-in tries.
admin.autodiscover()
admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]

urlpatterns = [
    path("admin/", admin.site.urls),
    path("account/", include("allauth.account.urls")),
    path("api/v1/", include("framing.api.urls")),
    path("projects/", include("framing.projects.urls")),
    path("quotes/", include("quotes.urls")),
    path("orders/", include("orders.urls")),
    path("", include("orders.home_urls")),
    path("", include("framing.common.urls")),
]

handler400 = "framing.common.faults.unreadable"
handler403 = "framing.common.faults.not_allowed"
handler404 = "framing.common.faults.not_there"
handler500 = "framing.common.faults.broken"
handler429 = "framing.common.faults.too_many"  # of the sign-in pages
