"""STEP to profile: the only room that speaks to the CAD kernel. Importing it loads no kernel."""
