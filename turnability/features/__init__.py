"""What a machinist calls the places of a profile: one recogniser, one file."""
