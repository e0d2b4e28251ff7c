"""What is done at the desk: import, export, reports, and the analysis of many roasts."""
