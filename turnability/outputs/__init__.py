"""One output, one file, each made from the report."""
