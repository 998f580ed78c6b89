"""What the solid lacks of its turned body, and whether the books close."""
