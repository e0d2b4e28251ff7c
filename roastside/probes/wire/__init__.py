"""What the bytes on a line mean. Pure: bytes in, readings out."""
