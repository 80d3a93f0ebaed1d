"""One file a screen. A screen knows its session and nothing about files."""
