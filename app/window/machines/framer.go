package machines

import (
	"context"
	"image"
	"sync"
	"time"

	"kilnpoise/render"
)

// FrameRequest asks for one picture of a scene.
type FrameRequest struct {
	Scene *render.Scene
	// partner is the scene on the other machine, which shares the scale; nil
	// where there is none.
	partner *render.Scene
	Shot    render.Shot
	// moving asks for speed rather than finish.
	moving bool
}

// shownFrame is a finished picture with what it shows, for picking and panning.
type shownFrame struct {
	FrameRequest
	image *image.RGBA
	// scale is device pixels of the picture over those asked for: below 1 for a
	// coarse picture drawn while moving.
	scale float64
}

// framer draws pictures on a goroutine of its own. The newest request wins:
// those that come in while one is drawn replace each other. A still that has
// grown stale is given up at once; a moving picture is finished, so that there
// is something to see however slow the part.
type framer struct {
	show func(shownFrame)
	// attempt does the drawing, which may fail by a fault of the program.
	attempt func(draw func())

	mu      sync.Mutex
	next    *FrameRequest
	giveUp  context.CancelFunc // of the still being drawn
	wake    chan struct{}
	stopped context.Context
	// slow tells that moving pictures at full size take too long.
	slow bool
}

// frameBudget is the longest time for a moving picture at full size before the
// next ones are drawn at half size: two screen refreshes at 60 Hz.
const frameBudget = 33 * time.Millisecond

// newFramer starts the goroutine, which ends with ctx. show and attempt are called on
// that goroutine.
func newFramer(ctx context.Context, show func(shownFrame), attempt func(draw func())) *framer {
	f := &framer{show: show, attempt: attempt, wake: make(chan struct{}, 1), stopped: ctx}
	go f.run()
	return f
}

// Ask requests a picture; it replaces any request not yet begun.
func (f *framer) Ask(r FrameRequest) {
	f.mu.Lock()
	f.next = &r
	if f.giveUp != nil {
		f.giveUp()
	}
	f.mu.Unlock()
	select {
	case f.wake <- struct{}{}:
	default:
	}
}

func (f *framer) run() {
	for {
		select {
		case <-f.stopped.Done():
			return
		case <-f.wake:
		}
		for f.stopped.Err() == nil && f.drawNext() {
		}
	}
}

// drawNext draws the newest request and reports whether there was one.
func (f *framer) drawNext() bool {
	f.mu.Lock()
	r := f.next
	f.next = nil
	if r == nil {
		f.mu.Unlock()
		return false
	}
	ctx, cancel := context.WithCancel(f.stopped)
	defer cancel()
	f.giveUp = nil
	if !r.moving {
		f.giveUp = cancel
	}
	f.mu.Unlock()

	f.attempt(func() {
		if s, ok := f.draw(ctx, *r); ok {
			f.show(s)
		}
	})
	return true
}

// draw makes one picture; false when it was given up.
func (f *framer) draw(ctx context.Context, r FrameRequest) (shownFrame, bool) {
	out := shownFrame{FrameRequest: r, scale: 1}
	shot := r.Shot
	if r.moving && f.slow {
		out.scale = 0.5
		shot.Width, shot.Height = max(shot.Width/2, 1), max(shot.Height/2, 1)
		shot.Density /= 2
	}
	shot.Samples = 2
	if r.moving {
		shot.Samples = 1
	}
	shot.MMPerPixel = commonScale(shot, r.Scene, r.partner)
	start := time.Now()
	out.image = r.Scene.Frame(ctx, shot)
	if out.image == nil {
		return out, false
	}
	if r.moving {
		f.pace(time.Since(start), out.scale)
	}
	out.Shot = shot
	return out, true
}

// pace decides whether the next moving pictures are drawn at half size.
func (f *framer) pace(took time.Duration, scale float64) {
	full := float64(took)
	if scale < 1 {
		full *= 3 // half size has a quarter of the pixels, but all the facets
	}
	switch {
	case full > float64(frameBudget):
		f.slow = true
	case full < float64(frameBudget)/2:
		f.slow = false
	}
}

// commonScale gives the scale at which both scenes fit the picture.
func commonScale(shot render.Shot, scene, partner *render.Scene) float64 {
	if partner == nil {
		return render.CommonScale(shot, scene)
	}
	return render.CommonScale(shot, scene, partner)
}

// facetAt gives the facet seen at a place of the view, in device pixels of the
// full picture.
func (s *shownFrame) facetAt(x, y float64) (int, bool) {
	if s.Scene == nil || s.image == nil {
		return 0, false
	}
	return s.Scene.Pick(s.Shot, int(x*s.scale), int(y*s.scale))
}

// mmPerPixel gives the scale of the full picture.
func (s *shownFrame) mmPerPixel() float64 {
	if s.Scene == nil {
		return 0
	}
	return s.Scene.MMPerPixel(s.Shot) * s.scale
}
