// Pointing, zooming, hiding and hearing a picture.
