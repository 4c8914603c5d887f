"""Rows into facts, in a fixed number of queries."""
