"""What the drawing is put together from: a sheet, a scale, labels that keep clear of each other."""
