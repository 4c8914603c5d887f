"""Pages by cursor: steady while rows are added, as quick at the end as at the start."""

from rest_framework.pagination import CursorPagination


class Newest(CursorPagination):
    """The newest rows first."""

    ordering: tuple[str, ...] = ("-created_at", "id")
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200
