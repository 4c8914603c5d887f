"""Which crew does which visit on which day."""
