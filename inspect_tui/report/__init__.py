"""Exports: one module a format, all drawn from one frozen `content.Report`."""
