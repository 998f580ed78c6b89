"""Many parts at once."""
