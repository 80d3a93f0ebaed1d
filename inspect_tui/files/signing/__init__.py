"""SSH signatures over a sign-off's seal."""
