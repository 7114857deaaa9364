"""What is printed: cards for the rack and for whoever gets the piece, and a batch's record, as PDF."""
