"""From a STEP file or a shape in memory to sound solids."""
