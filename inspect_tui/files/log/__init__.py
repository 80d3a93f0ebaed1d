"""Session logs on disk: writer, reader, blocks, lock, replacement, comparison of copies."""
