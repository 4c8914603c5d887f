"""What is decided: plain Python, no Django, clock, files, network, or unseeded chance."""
