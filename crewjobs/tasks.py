"""What Celery wakes up."""
