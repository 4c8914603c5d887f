"""The addresses of the pages."""

from django.urls import URLPattern, path

from crewjobs.web import health

urlpatterns: list[URLPattern] = [
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
]
