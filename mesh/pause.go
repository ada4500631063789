package mesh

import "context"

// pauseSteps is how many steps of a long loop go by before it looks whether it is
// still wanted: well under a millisecond's worth.
const pauseSteps = 1 << 15

// pause lets a long loop stop when its context ends. The zero pause of a context
// looks at once.
type pause struct {
	ctx  context.Context
	left int
}

// over reports whether the loop is to stop; it is asked at every step.
func (p *pause) over() bool {
	if p.left--; p.left >= 0 {
		return false
	}
	p.left = pauseSteps
	return p.ctx.Err() != nil
}
