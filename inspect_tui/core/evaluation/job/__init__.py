"""The job in hand: what a person does, the plan, what upsets what, parts, the sign-off."""
