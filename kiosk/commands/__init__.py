"""The commands: one file each, with `add_arguments` and `run`; its docstring is its help."""
