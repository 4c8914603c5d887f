"""Every address begins here."""

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, include, path
from django.views.defaults import server_error

from crewjobs.api import errors

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("crewjobs.api.urls")),
    path("", include("crewjobs.feeds")),
    path("", include("crewjobs.web.urls")),
]
handler403 = "crewjobs.web.errors.not_allowed"
handler404 = "crewjobs.web.errors.not_found"


def handler500(request: HttpRequest) -> HttpResponse:
    """The answer to a mistake of our own, in the language of who asked."""
    if request.path.startswith("/api/"):
        return errors.broken(request)
    return server_error(request)
