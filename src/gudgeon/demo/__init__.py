"""The demo shop: invented engines, and worn jobs with troubles planted in them."""
