"""Whether the service lives and can work: for load balancers and for whoever is on call.

Says nothing about the shop, so that it needs no sign-in.
"""

from django.db import DatabaseError
from django.db.models import Max
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from crewjobs.models import Heartbeat

LATE_S = 120
"""A worker not seen for as long has stopped: it beats every few seconds. Common practice."""


@require_safe
@never_cache
def alive(_request: HttpRequest) -> JsonResponse:
    """Answered by a process that lives."""
    return JsonResponse({"status": "alive"})


@require_safe
@never_cache
def ready(_request: HttpRequest) -> JsonResponse:
    """503 while the database does not answer; says when a worker was last seen."""
    try:
        seen_at = Heartbeat.objects.aggregate(last=Max("seen_at"))["last"]
    except DatabaseError:
        body = {"status": "the database does not answer"}
        return JsonResponse(body, status=503, headers={"Retry-After": "5"})
    age_s = round((timezone.now() - seen_at).total_seconds(), 1) if seen_at else None
    worker = "not seen" if age_s is None else "late" if age_s > LATE_S else "working"
    return JsonResponse({"status": "ready", "worker": worker, "worker_seen_s": age_s})
