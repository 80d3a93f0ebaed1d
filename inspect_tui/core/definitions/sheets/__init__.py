"""Machine sheets that grow: figures read, written and shown; comments stay."""
