"""Every address begins here."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("crewjobs.api.urls")),
    path("", include("crewjobs.feeds")),
    path("", include("crewjobs.web.urls")),
]
