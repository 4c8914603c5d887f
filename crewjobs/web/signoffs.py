"""The customer's page: what was installed, and a line for the name. Whoever has the address signs.

Looking never signs. The page may go to nobody else: no cache keeps it, no link tells its address.
"""

import datetime as dt
from collections.abc import Mapping

from django import forms
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from crewjobs.actions import links, signoffs
from crewjobs.models import Job, Link, Purpose, Shop, SigningWay
from crewjobs.web.pages import NO_CONTEXT, refusals


class SignForm(forms.Form):
    """The customer's name, typed under the text that was shown."""

    signer_name = forms.CharField(label="Your name", max_length=signoffs.LONGEST_NAME)
    accepts = forms.BooleanField(label="I have read this and take the work over as listed.")
    accepts_open_items = forms.BooleanField(
        label="I accept that the open items are done later.", required=False
    )
    seen_sha256 = forms.CharField(widget=forms.HiddenInput)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def show(request: HttpRequest, token: str) -> HttpResponseBase:
    now = timezone.now()
    link = links.find(token, Purpose.SIGN_OFF, now)
    if link is None or link.job is None:
        raise Http404
    response = _signed(request, link, now) if request.method == "POST" else _shown(request, link)
    response.headers["Referrer-Policy"] = (
        "same-origin"  # with none, a browser signs as from nowhere
    )
    response.headers["X-Robots-Tag"] = "noindex"
    return response


def _signed(request: HttpRequest, link: Link, now: dt.datetime) -> HttpResponseBase:
    form = SignForm(request.POST)
    if not form.is_valid():
        return _shown(request, link, form=form, status=422)
    said = form.cleaned_data
    found = refusals(
        lambda: signoffs.sign(
            job_id=_job(link).pk,
            by=None,
            now=now,
            link=link,
            signer_name=said["signer_name"],
            way=SigningWay.TYPED,
            accepts_open_items=said["accepts_open_items"],
            seen_sha256=said["seen_sha256"],
            address=request.META.get("REMOTE_ADDR"),
            agent=request.headers.get("User-Agent", ""),
        )
    )
    return _shown(request, link, said=said, found=found, status=409 if found else 200)


def _job(link: Link) -> Job:
    return Job.objects.select_related("customer", "site", "sign_off").get(links=link)


def _shown(
    request: HttpRequest,
    link: Link,
    *,
    form: SignForm | None = None,
    said: Mapping[str, object] = NO_CONTEXT,
    found: object = (),
    status: int = 200,
) -> HttpResponseBase:
    job = _job(link)
    signed = getattr(job, "sign_off", None)
    text = signed.document if signed else signoffs.document(job)
    context = {
        "shop": Shop.objects.get(),
        "job": job,
        "signed": signed,
        "text": text,
        "has_open_items": job.open_items.filter(closed_at__isnull=True).exists(),
        "form": form or SignForm(initial={**said, "seen_sha256": signoffs.sha256_of(text)}),
        "found": found,
    }
    with timezone.override(job.site.time_zone):
        return render(request, "crewjobs/sign_off.html", context, status=status)
