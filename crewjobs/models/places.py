"""What every place on the map has."""

from django.db import models

from crewjobs.models.rows import check


class Place(models.Model):
    """An address with its coordinates and its time zone."""

    street = models.CharField(max_length=200)
    town = models.CharField(max_length=120)
    region = models.CharField(max_length=120, blank=True)
    postal_code = models.CharField(max_length=20, blank=True)
    lat = models.FloatField()
    lon = models.FloatField()
    time_zone = models.CharField(max_length=60)

    class Meta:
        abstract = True

    @property
    def address(self) -> str:
        """The postal address in one line."""
        town = " ".join(part for part in (self.region, self.postal_code) if part)
        return ", ".join(part for part in (self.street, self.town, town) if part)


def on_the_globe(table: str) -> models.CheckConstraint:
    """The database refuses coordinates that are not on the globe."""
    return check(
        f"{table}_on_the_globe",
        models.Q(lat__gte=-90, lat__lte=90, lon__gte=-180, lon__lte=180),
    )
