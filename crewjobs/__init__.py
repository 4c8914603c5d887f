"""Jobs of a stone shop, from the template visit to the signature, and the crews that do them."""
