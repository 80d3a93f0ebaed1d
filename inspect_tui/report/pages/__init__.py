"""What stands on a page, as blocks that every page format draws: the report, blank sheets."""
