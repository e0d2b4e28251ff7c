"""A roast under way: source, recorder, fold and the people listening to it, joined up."""
