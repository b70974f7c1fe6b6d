"""The commands, one file each, with `add_arguments` and `run`; the module's docstring is the command's help text."""
