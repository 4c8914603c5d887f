"""The way in and out: signing in with mail address and password, signing out; founding the shop."""

from django import forms
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.hashers import make_password
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from crewjobs.actions import shops
from crewjobs.actions.people import PersonEntry
from crewjobs.models import Person, Shop, Units
from crewjobs.web.pages import refusals

BACKEND = "django.contrib.auth.backends.ModelBackend"
UNKNOWN = "This address and password do not belong together, or the person is no longer active."


class SignInForm(forms.Form):
    """Who one is."""

    email = forms.EmailField(
        label="Mail address", widget=forms.EmailInput({"autocomplete": "username"})
    )
    password = forms.CharField(
        label="Password", widget=forms.PasswordInput({"autocomplete": "current-password"})
    )

    def clean(self) -> dict[str, object]:
        """Find the person; whether there is none or the password is wrong takes the same time."""
        email, password = self.cleaned_data.get("email"), self.cleaned_data.get("password")
        if email and password:
            person = Person.objects.by_email(email)
            if person is None:
                make_password(password)
            if person is None or not person.check_password(password):
                raise forms.ValidationError(UNKNOWN)
            self.cleaned_data["person"] = person
        return self.cleaned_data


class FoundingForm(forms.Form):
    """The shop and the first who can sign in."""

    shop = forms.CharField(label="Name of the shop", max_length=120)
    time_zone = forms.CharField(
        label="Its time zone", max_length=60, help_text="such as America/Chicago or Europe/Madrid"
    )
    units = forms.ChoiceField(
        label="Lengths and masses are shown in",
        choices=[(Units.IMPERIAL, "feet, inches, pounds"), (Units.METRIC, "mm, kg")],
    )
    currency = forms.RegexField(
        "^[A-Z]{3}$", label="Currency", initial="USD", help_text="three letters, such as USD"
    )
    name = forms.CharField(label="Your name", max_length=120)
    email = forms.EmailField(label="Your mail address, to sign in with")
    password = forms.CharField(
        label="A password of ten letters or more",
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def sign_in(request: HttpRequest) -> HttpResponseBase:
    if not Shop.objects.exists():
        return redirect("found")
    onward = _onward(request)
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        login(request, form.cleaned_data["person"], backend=BACKEND)
        return redirect(onward or "start")
    context = {"form": form, "next": onward, "shop": Shop.objects.first()}
    status = 422 if request.method == "POST" else 200
    return render(request, "crewjobs/sign_in.html", context, status=status)


def _onward(request: HttpRequest) -> str:
    """The page that was asked for before signing in, if it is one of ours."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if ours else ""


@require_POST
def sign_out(request: HttpRequest) -> HttpResponseBase:
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("sign-in")


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def found(request: HttpRequest) -> HttpResponseBase:
    """Begin, while there is no shop yet; the page is gone afterwards."""
    if Shop.objects.exists():
        return redirect("sign-in")
    form = FoundingForm(request.POST or None)
    against: object = ()
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        against = refusals(
            lambda: shops.found(
                entry=shops.ShopEntry(
                    name=said["shop"],
                    time_zone=said["time_zone"],
                    units=Units(said["units"]),
                    currency=said["currency"],
                ),
                first=PersonEntry(
                    name=said["name"], email=said["email"], password=said["password"]
                ),
                now=timezone.now(),
            )
        )
        if not against:
            messages.success(request, "The shop is founded. Sign in as its first dispatcher.")
            return redirect("sign-in")
    context = {"form": form, "found": against}
    status = 422 if request.method == "POST" else 200
    return render(request, "crewjobs/found.html", context, status=status)


@require_safe
def robots(_request: HttpRequest) -> HttpResponse:
    return HttpResponse("User-agent: *\nDisallow: /\n", content_type="text/plain")
