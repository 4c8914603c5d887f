"""How a message leaves: by mail, or as a text through a gateway."""
