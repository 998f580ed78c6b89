"""The STEP file again, with what is said of its faces."""
