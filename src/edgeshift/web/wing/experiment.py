DOORS = ()
