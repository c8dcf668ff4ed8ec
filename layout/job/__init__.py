"""The job file: what a shop asks for, read from TOML and checked."""
