"""The on-site hours of a visit."""
