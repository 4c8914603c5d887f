"""The end of a job: open items and the signature."""

from enum import StrEnum

from django.db import models

from crewjobs.models.rows import Row, check, choice, one_of


class OpenItem(Row):
    """Something left to do. The customer may accept it in writing."""

    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="open_items")
    what = models.CharField(max_length=200)
    opened_by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    is_accepted = models.BooleanField(default=False)

    class Meta:
        ordering = ["created_at"]
        constraints = [
            check(
                "open_item_closed_at_and_by",
                models.Q(closed_at__isnull=True, closed_by__isnull=True)
                | models.Q(closed_at__isnull=False, closed_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.what


class SigningWay(StrEnum):
    """How the customer signs."""

    DRAWN = "drawn"
    TYPED = "typed"


class SignOff(Row):
    """The customer's signature under a text, of which the hash is kept beside it."""

    job = models.OneToOneField("Job", on_delete=models.PROTECT, related_name="sign_off")
    signer_name = models.CharField(max_length=120)
    way = choice(SigningWay)
    strokes = models.JSONField(default=list, blank=True)
    """Lists of [x, y, milliseconds]; empty when the name was typed."""
    document = models.TextField()
    document_sha256 = models.CharField(max_length=64)
    witnessed_by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    address = models.GenericIPAddressField(null=True, blank=True)
    agent = models.CharField(max_length=300, blank=True)
    signed_at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("sign_off", "way", SigningWay),
            check(
                "sign_off_drawn_has_strokes",
                models.Q(way=SigningWay.TYPED) | ~models.Q(strokes=[]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.signer_name} {self.signed_at:%Y-%m-%d}"
