"""Where the part is held, in what order, from which datum."""
