"""The steps of the reduction, one file each, in the order the recipe names them."""
