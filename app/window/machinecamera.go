package window

import (
	"time"

	"kilnpoise/render"
)

func (m *machines) turn(yaw, pitch float64, moving bool) {
	m.camera = m.camera.Orbit(yaw, pitch)
	m.moved(moving)
}

func (m *machines) pan(machine render.Machine, right, up float64, moving bool) {
	mm := m.last[machine].mmPerPixel()
	m.camera = m.camera.Pan(right*mm, up*mm)
	m.moved(moving)
}

// zoom zooms about a place of the view, in device pixels from its top left.
func (m *machines) zoom(machine render.Machine, factor, x, y float64) {
	w, h := m.views[machine].Pixels()
	mm := m.last[machine].mmPerPixel()
	m.camera = m.camera.ZoomBy(factor, (x-float64(w)/2)*mm, (float64(h)/2-y)*mm)
	m.moved(false)
}

// moved asks for quick pictures; unless the mouse is still held down, finished
// ones follow when nothing else has happened for a while.
func (m *machines) moved(held bool) {
	m.askBoth(true)
	if !held {
		m.stillSoon()
	}
}

// stillDelay is how long the camera must rest before the finished picture is
// drawn.
const stillDelay = 180 * time.Millisecond

func (m *machines) stillSoon() {
	if m.settle != nil {
		m.settle.Stop()
	}
	m.settle = time.AfterFunc(stillDelay, func() { m.post(m.still) })
}

// still asks for finished pictures.
func (m *machines) still() { m.askBoth(false) }

func (m *machines) askBoth(moving bool) {
	m.ask(render.OnPlate, moving)
	m.ask(render.OnSetter, moving)
}

// ask requests a picture of one machine, unless it is not to be seen.
func (m *machines) ask(machine render.Machine, moving bool) {
	v := m.views[machine]
	w, h := v.Pixels()
	if m.scenes[machine] == nil || w == 0 || h == 0 || !m.shows(machine) {
		return
	}
	r := frameRequest{scene: m.scenes[machine], moving: moving}
	if m.whole == bothMachines {
		r.partner = m.scenes[1-machine]
	}
	r.shot = render.Shot{
		Camera: m.camera, Width: w, Height: h, Density: v.density(),
		Overlays: m.overlays.on(m.stageOf(machine)), Palette: m.palette,
	}
	r.shot.Overlays.SagExaggeration = m.sagDrawn
	if m.region > 0 && m.stageOf(machine) == render.OnPlate {
		r.shot.Overlays.Regions, r.shot.Overlays.Region = true, m.region
	}
	m.framers[machine].Ask(r)
}

// shows reports whether a machine is to be seen.
func (m *machines) shows(machine render.Machine) bool {
	return m.whole == bothMachines || m.whole == machine
}

// shown puts up a finished picture, unless the candidate has changed meanwhile.
func (m *machines) shown(machine render.Machine, s shownFrame) {
	if s.scene != m.scenes[machine] {
		return
	}
	m.last[machine] = s
	m.views[machine].SetFrame(s.image)
}

func (m *machines) pick(machine render.Machine, x, y float64) {
	facet, ok := m.last[machine].facetAt(x, y)
	switch {
	case ok && m.OnFace != nil:
		m.OnFace(facet)
	case !ok && m.OnMissed != nil:
		m.OnMissed()
	}
}
