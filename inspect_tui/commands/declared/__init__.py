"""What each command takes, declared once: its words, its function, its arguments, an example.

The parser, the shell's completion, `--help` and the README's list follow from these tables.
"""
