"""The arithmetic of definition files."""
