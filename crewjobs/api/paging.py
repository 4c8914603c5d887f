"""Pages by cursor: steady while rows are added, as quick at the end as at the start."""

from typing import Any

from django.core.exceptions import ValidationError
from rest_framework.exceptions import NotFound
from rest_framework.pagination import CursorPagination


class Newest(CursorPagination):
    """The newest rows first."""

    ordering: tuple[str, ...] = ("-created_at", "id")
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200

    def paginate_queryset(self, *args: Any, **options: Any) -> Any:
        """The page at the cursor; one that somebody made up is not found."""
        try:
            return super().paginate_queryset(*args, **options)
        except (ValueError, ValidationError):
            raise NotFound(self.invalid_cursor_message) from None


class NewestLines(Newest):
    """The newest lines of the log first."""

    ordering = ("-number",)
