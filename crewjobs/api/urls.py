"""The addresses of the API. An id that is not a UUID is not found."""

from django.urls import URLPattern, path

from crewjobs.api import tokens

urlpatterns: list[URLPattern] = [
    path("schema/", tokens.Description.as_view(), name="api-schema"),
    path("tokens/", tokens.Tokens.as_view(), name="api-tokens"),
    path("tokens/<uuid:token_id>/", tokens.OneToken.as_view(), name="api-token"),
]
