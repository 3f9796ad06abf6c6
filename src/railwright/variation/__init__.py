"""What becomes of the readings when something in the sheet changes."""
