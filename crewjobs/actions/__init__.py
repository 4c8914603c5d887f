"""The changes: one noun a file, a function for each thing that people do."""
