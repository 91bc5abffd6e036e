"""Sign in, sign out, enrol a tablet."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from kitchen.base import moments
from kitchen.base.refusals import Refused
from kitchen.people import sign_in
from kitchen.people.actions import enrol_tablet, revoke_tablet
from kitchen.people.forms import CookCodeForm, PasswordForm, TabletForm
from kitchen.people.hands import hand_of, head_chef_only
from kitchen.people.models import Tablet

BACKEND = "django.contrib.auth.backends.ModelBackend"


@login_not_required
def sign_in_page(request: HttpRequest) -> HttpResponse:
    """By code on an enrolled tablet, by password anywhere."""
    tablet = sign_in.tablet_of(request)
    posted = request.POST if request.method == "POST" else None
    by_code = "code" in request.POST
    cook = CookCodeForm(posted if by_code else None, site=tablet.site) if tablet else None
    password = PasswordForm(posted if posted and not by_code else None)
    form = cook if by_code and cook else password
    if posted and form.is_valid():
        said = form.cleaned_data
        try:
            if form is cook and tablet:
                person = sign_in.by_code(
                    tablet=tablet, person=said["person"], code=said["code"], at=moments.now()
                )
            else:
                person = sign_in.by_password(
                    request=request, handle=said["username"], password=said["password"], at=moments.now()
                )
        except Refused as refusal:
            form.add_error(refusal.field, refusal.message)
        else:
            login(request, person, backend=BACKEND)
            return redirect(_next(request))
    context = {
        "people": cook.people if cook else [],
        "form": cook,
        "password_form": password,
        "next": _next(request),
    }
    return render(request, "base/sign_in.html", context, status=422 if posted else 200)


def _next(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure()):
        return wanted
    return "/bench/"


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Hand the tablet over."""
    logout(request)
    return redirect("sign_in")


@head_chef_only
def tablets(request: HttpRequest) -> HttpResponse:
    """The enrolled tablets; enrol the one in hand."""
    form = TabletForm(request.POST or None, site=request.site)  # type: ignore[attr-defined]
    if request.method == "POST" and form.is_valid():
        try:
            tablet = enrol_tablet(name=form.cleaned_data["name"], hand=hand_of(request))
        except Refused as refusal:
            form.add_error("name", refusal.message)
        else:
            response = redirect("tablets")
            sign_in.remember_tablet(response, tablet, secure=settings.HTTPS)
            return response
    rows = Tablet.objects.filter(site=request.site).order_by("name")  # type: ignore[attr-defined]
    context = {"form": form, "tablets": rows, "this": sign_in.tablet_of(request)}
    return render(request, "people/tablets.html", context, status=422 if form.errors else 200)


@require_POST
@head_chef_only
def revoke(request: HttpRequest, pk: str) -> HttpResponse:
    """A lost tablet signs nobody in any more."""
    tablet = Tablet.objects.filter(pk=pk, site=request.site, revoked_at__isnull=True).first()  # type: ignore[attr-defined]
    if tablet:
        revoke_tablet(tablet=tablet, hand=hand_of(request))
    return redirect("tablets")
