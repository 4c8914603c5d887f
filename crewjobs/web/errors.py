"""What is shown instead of a page: not found, not allowed.

What went wrong by our own mistake shows `500.html`, which reads nothing from the database.
"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001
    """Nothing here, or nothing that this person may see."""
    return render(request, "404.html", status=404)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "403.html", {"reason": str(exception)}, status=403)


def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001
    """The form was sent from elsewhere, or after the session had ended."""
    words = "The form had expired, or came from another page. Go back, load it anew, send it again."
    return render(request, "403.html", {"reason": words}, status=403)
