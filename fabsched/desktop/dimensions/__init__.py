"""Critical dimensions of a part: picked on the model, kept, measured."""
