"""The API: speaks JSON, and calls one action a request."""
