"""A TOML file that people write: its keys checked one by one, every fault told with its line."""
