"""Thin now, wait, clearcut or leave alone: what each is worth, and the price from which thinning is right this year."""
