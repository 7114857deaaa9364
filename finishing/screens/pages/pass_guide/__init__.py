"""The pass guide: coat, wipe and turn the pieces of one batch, pass by pass, with a bell."""
