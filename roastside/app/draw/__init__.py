"""Pure drawing: numbers in, a grid of characters out. numpy only, no terminal, no Textual."""
