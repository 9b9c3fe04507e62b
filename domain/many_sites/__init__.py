"""What a table of sites holds, in numbers without words: one site after the other, nothing kept between them."""
