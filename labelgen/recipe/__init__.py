"""Load: a kitchen folder of YAML files -> ``Kitchen``. Decides what was written, and where."""
