"""Customers and the sites where their stone goes."""

from uuid import UUID

from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.models import Contact, Customer, Person, Site, SiteHours
from crewjobs.permissions import visible_jobs


class CustomerOut(serializers.ModelSerializer[Customer]):
    class Meta:
        model = Customer
        fields = ["id", "name", "email", "phone", "language", "takes_email", "takes_texts"]


class ContactOut(serializers.ModelSerializer[Contact]):
    class Meta:
        model = Contact
        fields = ["id", "name", "part", "phone", "email"]


class HoursOut(serializers.ModelSerializer[SiteHours]):
    class Meta:
        model = SiteHours
        fields = ["id", "kind", "weekday", "on", "starts_at", "ends_at"]


class SiteOut(serializers.ModelSerializer[Site]):
    contacts = ContactOut(many=True)
    hours = HoursOut(many=True)

    class Meta:
        model = Site
        fields = [
            "id", "customer", "street", "town", "region", "postal_code", "address", "lat", "lon",
            "time_zone", "access_note", "contacts", "hours",
        ]  # fmt: skip


class Customers(Endpoint):
    @does("job.read", answers=CustomerOut, many=True, paged=True)
    def get(self, ask: Ask) -> QuerySet[Customer]:
        """The customers of the jobs that you may see."""
        return customers(ask.by)


class OneCustomer(Endpoint):
    @does("job.read", answers=CustomerOut)
    def get(self, ask: Ask, customer_id: UUID) -> Customer:
        """One customer."""
        return customers(ask.by).get(pk=customer_id)


class Sites(Endpoint):
    @does("job.read", answers=SiteOut, many=True, paged=True)
    def get(self, ask: Ask) -> QuerySet[Site]:
        """The sites of the jobs that you may see."""
        return sites(ask.by)


class OneSite(Endpoint):
    @does("job.read", answers=SiteOut)
    def get(self, ask: Ask, site_id: UUID) -> Site:
        """One site, with the people to talk to and the hours of its building."""
        return sites(ask.by).get(pk=site_id)


def customers(by: Person) -> QuerySet[Customer]:
    """The customers that this person may see."""
    return Customer.objects.filter(pk__in=visible_jobs(by).values("customer"))


def sites(by: Person) -> QuerySet[Site]:
    """The sites that this person may see, whole."""
    seen = Site.objects.filter(pk__in=visible_jobs(by).values("site"))
    return seen.prefetch_related("contacts", "hours")
