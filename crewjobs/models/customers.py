"""Customers and what they agreed to be told by which channel."""

from django.db import models

from crewjobs.models.rows import Row


class Customer(Row):
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=10, default="en")
    takes_email = models.BooleanField(default=True)
    takes_texts = models.BooleanField(default=False)
    texts_agreed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(takes_texts=False) | models.Q(texts_agreed_at__isnull=False),
                name="customer_texts_only_if_agreed",
            ),
        ]

    def __str__(self) -> str:
        return self.name
