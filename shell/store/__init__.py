"""Where cases are kept between sittings."""
