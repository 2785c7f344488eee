"""What a plan costs: packs and deliveries, labour, quotation."""
