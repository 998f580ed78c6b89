"""Outputs that are written where they are asked for by name (`--format sarif`).

Each is one file of this folder, as the outputs beside it; the file's name is what people type.
"""
