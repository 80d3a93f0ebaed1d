"""What a report says, once, for every format; all texts as people and files wrote them."""
