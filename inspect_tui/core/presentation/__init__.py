"""Words and limit strips that screens and reports share."""
