"""The trade as data: rules and catalogues with their sources, and a firm's changes to them."""
