"""The five kinds of stability: what shows each, what begins it, and what undoes it. One file a kind."""
