"""What an alert sounds like."""
