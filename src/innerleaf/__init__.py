"""innerleaf: plans the lining of existing walls with metal-framed gypsum board."""

__version__ = "0.1.0"
