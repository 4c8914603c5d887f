"""How the service is put together: settings, addresses, workers."""
