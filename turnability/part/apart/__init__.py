"""Work on a file in a child process, whose death the parent survives."""
