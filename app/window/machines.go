package window

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// machines shows the part on both machines, at one scale and from one camera:
// what turns on the left turns on the right. It owns the camera and what is
// drawn on the part, nothing else.
type machines struct {
	widget.BaseWidget
	// OnFace is called with the facet on which the user wants to rest the part.
	OnFace func(facet int)
	// OnMissed is called when a pick hits no facet.
	OnMissed func()
	// OnKey gets the keys that the views have no use for.
	OnKey func(*fyne.KeyEvent)
	// OnArranged is called when one machine takes the whole space or gives it
	// back.
	OnArranged func()

	post     func(func())
	views    [2]*machineView
	framers  [2]*framer
	captions [2]*kit.Prose
	toggles  [overlayCount]*kit.LegendToggle
	legends  [2]*fyne.Container
	beam     *kit.Balance
	slider   *sagSlider

	camera   render.Camera
	overlays overlaySet
	sagDrawn float64
	// region is the number of the region of the support plan that is picked out;
	// 0 is none.
	region  int
	scenes  [2]*render.Scene
	last    [2]shownFrame
	palette render.Palette
	// paired is true while both views show one machine with two candidates; stage
	// is that machine.
	paired bool
	stage  render.Machine
	// whole is the machine that has the whole space, or -1.
	whole  render.Machine
	settle *time.Timer
}

// bothMachines is the value of machines.whole when neither has all the space.
const bothMachines render.Machine = -1

// newMachines makes the pane; its workers end with ctx, attempt to draw, and hand over
// through post.
func newMachines(ctx context.Context, post func(func()), attempt func(draw func())) *machines {
	m := &machines{post: post, camera: render.DefaultCamera(), overlays: defaultOverlays(), whole: bothMachines}
	titles := machineTitles()
	for i := range m.views {
		machine := render.Machine(i)
		m.views[i] = m.newView(machine)
		m.captions[i] = kit.NewProse(kit.RoleHeading, theme.ColorNameForeground, titles[i])
		m.captions[i].Most = 1
		m.legends[i] = kit.NewFlow(4, 0)
		m.framers[i] = newFramer(ctx, func(s shownFrame) {
			post(func() { m.shown(machine, s) })
		}, attempt)
	}
	for k := range m.toggles {
		t := kit.NewLegendToggle()
		t.OnToggled = func(on bool) { m.SetOverlay(overlayKind(k), on) }
		t.OnKey = m.passKey
		m.toggles[k] = t
		side := overlayKind(k).info().machine
		m.legends[side].Objects = append(m.legends[side].Objects, t)
	}
	m.slider = newSagSlider(func() { m.passKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	m.slider.OnTimes = func(times float64) { m.setSagDrawn(times, true) }
	m.legends[render.OnSetter].Objects = append(m.legends[render.OnSetter].Objects, m.slider.box)
	m.beam = kit.NewBalance()
	m.palette = picturePalette()
	m.refreshLegend()
	m.ExtendBaseWidget(m)
	return m
}

func (m *machines) newView(machine render.Machine) *machineView {
	v := newMachineView()
	v.OnTurn = func(yaw, pitch float64, moving bool) { m.turn(yaw, pitch, moving) }
	v.OnPan = func(right, up float64, moving bool) { m.pan(machine, right, up, moving) }
	v.OnZoom = func(factor, x, y float64) { m.zoom(machine, factor, x, y) }
	v.OnStill = m.still
	v.OnResized = func() { m.ask(machine, true); m.stillSoon() }
	v.OnWhole = func() { m.ToggleWhole(machine) }
	v.OnPicked = func(x, y float64) { m.pick(machine, x, y) }
	v.OnKey = m.passKey
	return v
}

// passKey hands a key on that nothing in the pane has a use for.
func (m *machines) passKey(e *fyne.KeyEvent) {
	if m.OnKey != nil {
		m.OnKey(e)
	}
}

// machineTitles are the captions of the two machines.
func machineTitles() [2]string { return [2]string{"Printer’s plate", "Furnace setter"} }

// SetPair shows two candidates on one machine, with their names.
func (m *machines) SetPair(on render.Machine, left, right *render.Scene, leftName, rightName string) {
	m.paired, m.stage, m.whole = true, on, bothMachines
	for i, name := range [2]string{leftName, rightName} {
		m.captions[i].Role = kit.RoleSmallStrong // names are longer than the titles of machines
		m.captions[i].SetText(name)
	}
	m.scenes = [2]*render.Scene{left, right}
	m.refreshLegend()
	m.still()
}

// EndPair goes back to one candidate on both machines.
func (m *machines) EndPair() {
	m.paired = false
	for i, title := range machineTitles() {
		m.captions[i].Role = kit.RoleHeading
		m.captions[i].SetText(title)
	}
}

// stageOf gives the machine that a view shows.
func (m *machines) stageOf(view render.Machine) render.Machine {
	if m.paired {
		return m.stage
	}
	return view
}

// sceneOn gives a scene on a machine, or nil.
func (m *machines) sceneOn(machine render.Machine) *render.Scene {
	switch {
	case !m.paired:
		return m.scenes[machine]
	case machine == m.stage:
		return m.scenes[0]
	}
	return nil
}

// SetScenes shows a candidate on both machines; nil empties them.
func (m *machines) SetScenes(plate, setter *render.Scene) {
	if m.paired {
		m.EndPair()
	}
	m.scenes = [2]*render.Scene{plate, setter}
	m.refreshLegend()
	if plate == nil {
		m.beam.Set("", "", "") // sizes of a part that is not to be seen
		for _, v := range m.views {
			v.SetFrame(nil)
		}
		return
	}
	m.still()
}

// SetSizes writes the beam: the sizes on both machines and the shrinkage.
func (m *machines) SetSizes(green, shrinkage, sintered string) {
	m.beam.Set(green, shrinkage, sintered)
}

// ResetCamera goes back to the first view of the part.
func (m *machines) ResetCamera() { m.SetCamera(render.DefaultCamera()) }

// SetCamera looks from there.
func (m *machines) SetCamera(c render.Camera) {
	m.camera = c
	m.still()
}

// LookAtRegion looks from there and picks out a region of the support plan by its
// number, from 1.
func (m *machines) LookAtRegion(number int, c render.Camera) {
	m.region = number
	m.SetCamera(c)
}

// SetOverlay turns one overlay on or off.
func (m *machines) SetOverlay(k overlayKind, on bool) {
	m.overlays[k] = on
	m.refreshLegend()
	m.still()
}

// Overlay reports whether an overlay is on.
func (m *machines) Overlay(k overlayKind) bool { return m.overlays[k] }

// SetSagDrawn sets how many times larger than true the sag is drawn; 0 draws the
// part straight.
func (m *machines) SetSagDrawn(times float64) {
	m.setSagDrawn(times, false)
	m.refreshLegend()
}

// setSagDrawn draws with that exaggeration; quickly first while a slider is moved.
func (m *machines) setSagDrawn(times float64, moving bool) {
	m.sagDrawn = times
	if times > 0 && !m.overlays[overlaySag] {
		m.SetOverlay(overlaySag, true) // without it the shape is drawn straight
	}
	if !moving {
		m.still()
		return
	}
	m.askBoth(true)
	m.stillSoon()
}

// SetPicking turns the picking of faces on or off in both views.
func (m *machines) SetPicking(on bool) {
	for _, v := range m.views {
		v.SetPicking(on)
	}
}

// Picking reports whether a click picks a face.
func (m *machines) Picking() bool { return m.views[0].picking }

// ToggleWhole gives one machine the whole space, or both their halves.
func (m *machines) ToggleWhole(machine render.Machine) {
	if m.whole == machine {
		machine = bothMachines
	}
	m.whole = machine
	m.Refresh()
	m.still()
	if m.OnArranged != nil {
		m.OnArranged()
	}
}

// Recolour draws all anew after a change of theme.
func (m *machines) Recolour() {
	m.palette = picturePalette()
	m.refreshLegend()
	m.still()
}
