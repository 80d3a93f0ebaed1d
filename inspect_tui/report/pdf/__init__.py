"""Sheets of paper: the report as PDF, blank sheets, the tag on the bars."""
