"""How a lid feels: paper gives, and air has to leave."""
