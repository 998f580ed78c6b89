"""The bar or tube that the part is cut from."""
