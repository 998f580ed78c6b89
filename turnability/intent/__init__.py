"""What the design asks for beyond its shape: read from a file, its places found on the profile."""
