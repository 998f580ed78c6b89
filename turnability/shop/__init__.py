"""What stands in the workshop, as data: tools with outlines, holding, machines, stock sizes."""
