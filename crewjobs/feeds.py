"""Calendar feeds."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
