"""Which outline gets where on the profile, what it leaves and what stops it."""
