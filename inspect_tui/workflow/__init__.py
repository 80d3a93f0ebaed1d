"""Joins core and files: one inspection, its log and photos; catalogue, transfer, verification."""
