"""What every page shares: who asks, of which shop, when; and what becomes of a refused action.

Knows nothing of any one page.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from functools import wraps
from typing import Concatenate, ParamSpec
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache

from crewjobs.actions.errors import (
    ConflictError,
    InvalidError,
    NotAllowedError,
    RefusedError,
)
from crewjobs.domain.findings import Finding, Severity
from crewjobs.models import Person, Shop
from crewjobs.permissions import may

P = ParamSpec("P")
NO_CONTEXT: Mapping[str, object] = {}


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """One request of somebody who is signed in."""

    request: HttpRequest
    by: Person
    shop: Shop
    now: datetime

    @property
    def zone(self) -> ZoneInfo:
        """The shop's own clock."""
        return ZoneInfo(self.shop.time_zone)

    @property
    def today(self) -> date:
        """The day on the shop's own clock."""
        return self.now.astimezone(self.zone).date()

    def may(self, verb: str) -> bool:
        """Whether to offer it at all; the action asks again."""
        return may(self.by, verb)

    def require(self, verb: str) -> None:
        """Stop here somebody whose role does not allow the verb."""
        if not self.may(verb):
            raise PermissionDenied(f"you may not {verb.replace('.', ' ')}")

    def page(
        self, template: str, context: Mapping[str, object] = NO_CONTEXT, *, status: int = 200
    ) -> HttpResponseBase:
        """The page as this person sees it."""
        known = {"asked": self, "shop": self.shop, "today": self.today, "now": self.now}
        return render(self.request, f"crewjobs/{template}", {**known, **context}, status=status)

    def say(self, text: str) -> None:
        """Words for the top of the next page."""
        messages.success(self.request, text)


Page = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def page(view: Callable[Concatenate[Asked, P], HttpResponseBase]) -> Page[P]:
    """A page for people of the shop, on the shop's clock. Before there is a shop: its founding."""

    @never_cache
    @wraps(view)
    def answer(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        shop = Shop.objects.first()
        if shop is None:
            return redirect("found")
        if not isinstance(request.user, Person):
            return redirect_to_login(request.get_full_path())
        asked = Asked(request=request, by=request.user, shop=shop, now=timezone.now())
        with timezone.override(shop.time_zone):
            try:
                return view(asked, *args, **kwargs)
            except NotAllowedError as error:
                raise PermissionDenied(str(error)) from error

    return answer


def refusals(act: Callable[[], object]) -> tuple[Finding, ...]:
    """Everything that speaks against an action; nothing where it was done."""
    try:
        act()
    except RefusedError as error:
        return error.findings
    except InvalidError as error:
        return tuple(_stop("invalid", what, where) for where, what in error.problems.items())
    except ConflictError as error:
        return (_stop("conflict", str(error)),)
    return ()


def _stop(code: str, message: str, about: str = "") -> Finding:
    about = about.strip("/").replace("/", " ").replace("_", " ")
    return Finding(code=code, severity=Severity.STOP, message=message, about=about)


def day_of(at: datetime, zone: tzinfo) -> date:
    """The day that a clock shows at a moment."""
    return at.astimezone(zone).date()
