"""Several lots in one mill: the season plan, and updating inputs from actuals."""
