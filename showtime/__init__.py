"""Plans, announces and starts the performances of one mechanical figure on a fair stall."""
