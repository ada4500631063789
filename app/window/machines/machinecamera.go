package machines

import (
	"time"

	"kilnpoise/render"
)

func (m *Pane) turn(yaw, pitch float64, moving bool) {
	m.Camera = m.Camera.Orbit(yaw, pitch)
	m.moved(moving)
}

func (m *Pane) pan(machine render.Machine, right, up float64, moving bool) {
	mm := m.Last[machine].mmPerPixel()
	m.Camera = m.Camera.Pan(right*mm, up*mm)
	m.moved(moving)
}

// zoom zooms about a place of the view, in device pixels from its top left.
func (m *Pane) zoom(machine render.Machine, factor, x, y float64) {
	w, h := m.Views[machine].Pixels()
	mm := m.Last[machine].mmPerPixel()
	m.Camera = m.Camera.ZoomBy(factor, (x-float64(w)/2)*mm, (float64(h)/2-y)*mm)
	m.moved(false)
}

// moved asks for quick pictures; unless the mouse is still held down, finished
// ones follow when nothing else has happened for a while.
func (m *Pane) moved(held bool) {
	m.askBoth(true)
	if !held {
		m.stillSoon()
	}
}

// stillDelay is how long the camera must rest before the finished picture is
// drawn.
const stillDelay = 180 * time.Millisecond

func (m *Pane) stillSoon() {
	if m.settle != nil {
		m.settle.Stop()
	}
	m.settle = time.AfterFunc(stillDelay, func() { m.post(m.still) })
}

// still asks for finished pictures.
func (m *Pane) still() { m.askBoth(false) }

func (m *Pane) askBoth(moving bool) {
	m.ask(render.OnPlate, moving)
	m.ask(render.OnSetter, moving)
}

// ask requests a picture of one machine, unless it is not to be seen.
func (m *Pane) ask(machine render.Machine, moving bool) {
	v := m.Views[machine]
	w, h := v.Pixels()
	if m.Scenes[machine] == nil || w == 0 || h == 0 || !m.shows(machine) {
		return
	}
	r := FrameRequest{Scene: m.Scenes[machine], moving: moving}
	if m.Whole == bothMachines {
		r.partner = m.Scenes[1-machine]
	}
	r.Shot = render.Shot{
		Camera: m.Camera, Width: w, Height: h, Density: v.density(),
		Overlays: m.overlays.on(m.stageOf(machine)), Palette: m.Palette,
	}
	r.Shot.Overlays.SagExaggeration = m.SagDrawn
	if m.Region > 0 && m.stageOf(machine) == render.OnPlate {
		r.Shot.Overlays.Regions, r.Shot.Overlays.Region = true, m.Region
	}
	m.Framers[machine].Ask(r)
}

// shows reports whether a machine is to be seen.
func (m *Pane) shows(machine render.Machine) bool {
	return m.Whole == bothMachines || m.Whole == machine
}

// shown puts up a finished picture, unless the candidate has changed meanwhile.
func (m *Pane) shown(machine render.Machine, s shownFrame) {
	if s.Scene != m.Scenes[machine] {
		return
	}
	m.Last[machine] = s
	m.Views[machine].SetFrame(s.image)
}

func (m *Pane) pick(machine render.Machine, x, y float64) {
	facet, ok := m.Last[machine].facetAt(x, y)
	switch {
	case ok && m.OnFace != nil:
		m.OnFace(facet)
	case !ok && m.OnMissed != nil:
		m.OnMissed()
	}
}
