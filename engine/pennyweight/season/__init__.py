"""Several lots in one mill: the plan of a season, and learning from what was milled."""
