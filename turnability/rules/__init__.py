"""One rule, one file: what is found, how bad, on what basis."""
