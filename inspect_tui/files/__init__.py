"""The only package that touches the disk: logs, definition files, and where they lie."""
