"""The invented scenario that shows what Lees does: cases, their files, what is true of them."""
