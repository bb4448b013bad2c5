"""Parts onto beds and sheets."""
