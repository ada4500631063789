// Package machines shows a part on both machines, printer plate and setter, at one scale
// and from one camera: gestures, frames drawn in the background, and what is drawn on
// the part.
package machines

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// Pane shows the part on both machines, at one scale and from one camera:
// what turns on the left turns on the right. It owns the camera and what is
// drawn on the part, nothing else.
type Pane struct {
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
	Views    [2]*machineView
	Framers  [2]*framer
	Captions [2]*kit.Prose
	Toggles  [OverlayCount]*kit.LegendToggle
	Legends  [2]*fyne.Container
	Beam     *kit.Balance
	Slider   *sagSlider

	Camera   render.Camera
	overlays overlaySet
	SagDrawn float64
	// Region is the number of the region of the support plan that is picked out;
	// 0 is none.
	Region  int
	Scenes  [2]*render.Scene
	Last    [2]shownFrame
	Palette render.Palette
	// Paired is true while both views show one machine with two candidates; stage
	// is that machine.
	Paired bool
	Stage  render.Machine
	// Whole is the machine that has the whole space, or -1.
	Whole  render.Machine
	settle *time.Timer
}

// bothMachines is the value of machines.whole when neither has all the space.
const bothMachines render.Machine = -1

// New makes the pane; its workers end with ctx, attempt to draw, and hand over
// through post.
func New(ctx context.Context, post func(func()), attempt func(draw func())) *Pane {
	m := &Pane{post: post, Camera: render.DefaultCamera(), overlays: defaultOverlays(), Whole: bothMachines}
	titles := Titles()
	for i := range m.Views {
		machine := render.Machine(i)
		m.Views[i] = m.newView(machine)
		m.Captions[i] = kit.NewProse(kit.RoleHeading, theme.ColorNameForeground, titles[i])
		m.Captions[i].Most = 1
		m.Legends[i] = kit.NewFlow(4, 0)
		m.Framers[i] = newFramer(ctx, func(s shownFrame) {
			post(func() { m.shown(machine, s) })
		}, attempt)
	}
	for k := range m.Toggles {
		t := kit.NewLegendToggle()
		t.OnToggled = func(on bool) { m.SetOverlay(OverlayKind(k), on) }
		t.OnKey = m.passKey
		m.Toggles[k] = t
		side := OverlayKind(k).info().machine
		m.Legends[side].Objects = append(m.Legends[side].Objects, t)
	}
	m.Slider = newSagSlider(func() { m.passKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	m.Slider.OnTimes = func(times float64) { m.setSagDrawn(times, true) }
	m.Legends[render.OnSetter].Objects = append(m.Legends[render.OnSetter].Objects, m.Slider.box)
	m.Beam = kit.NewBalance()
	m.Palette = PicturePalette()
	m.refreshLegend()
	m.ExtendBaseWidget(m)
	return m
}

func (m *Pane) newView(machine render.Machine) *machineView {
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
func (m *Pane) passKey(e *fyne.KeyEvent) {
	if m.OnKey != nil {
		m.OnKey(e)
	}
}

// Titles are the captions of the two machines.
func Titles() [2]string { return [2]string{"Printer’s plate", "Furnace setter"} }

// SetPair shows two candidates on one machine, with their names.
func (m *Pane) SetPair(on render.Machine, left, right *render.Scene, leftName, rightName string) {
	m.Paired, m.Stage, m.Whole = true, on, bothMachines
	for i, name := range [2]string{leftName, rightName} {
		m.Captions[i].Role = kit.RoleSmallStrong // names are longer than the titles of machines
		m.Captions[i].SetText(name)
	}
	m.Scenes = [2]*render.Scene{left, right}
	m.refreshLegend()
	m.still()
}

// EndPair goes back to one candidate on both machines.
func (m *Pane) EndPair() {
	m.Paired = false
	for i, title := range Titles() {
		m.Captions[i].Role = kit.RoleHeading
		m.Captions[i].SetText(title)
	}
}

// stageOf gives the machine that a view shows.
func (m *Pane) stageOf(view render.Machine) render.Machine {
	if m.Paired {
		return m.Stage
	}
	return view
}

// sceneOn gives a scene on a machine, or nil.
func (m *Pane) sceneOn(machine render.Machine) *render.Scene {
	switch {
	case !m.Paired:
		return m.Scenes[machine]
	case machine == m.Stage:
		return m.Scenes[0]
	}
	return nil
}

// SetScenes shows a candidate on both machines; nil empties them.
func (m *Pane) SetScenes(plate, setter *render.Scene) {
	if m.Paired {
		m.EndPair()
	}
	m.Scenes = [2]*render.Scene{plate, setter}
	m.refreshLegend()
	if plate == nil {
		m.Beam.Set("", "", "") // sizes of a part that is not to be seen
		for _, v := range m.Views {
			v.SetFrame(nil)
		}
		return
	}
	m.still()
}

// SetSizes writes the beam: the sizes on both machines and the shrinkage.
func (m *Pane) SetSizes(green, shrinkage, sintered string) {
	m.Beam.Set(green, shrinkage, sintered)
}

// ResetCamera goes back to the first view of the part.
func (m *Pane) ResetCamera() { m.SetCamera(render.DefaultCamera()) }

// SetCamera looks from there.
func (m *Pane) SetCamera(c render.Camera) {
	m.Camera = c
	m.still()
}

// LookAtRegion looks from there and picks out a region of the support plan by its
// number, from 1.
func (m *Pane) LookAtRegion(number int, c render.Camera) {
	m.Region = number
	m.SetCamera(c)
}

// SetOverlay turns one overlay on or off.
func (m *Pane) SetOverlay(k OverlayKind, on bool) {
	m.overlays[k] = on
	m.refreshLegend()
	m.still()
}

// Overlay reports whether an overlay is on.
func (m *Pane) Overlay(k OverlayKind) bool { return m.overlays[k] }

// SetSagDrawn sets how many times larger than true the sag is drawn; 0 draws the
// part straight.
func (m *Pane) SetSagDrawn(times float64) {
	m.setSagDrawn(times, false)
	m.refreshLegend()
}

// setSagDrawn draws with that exaggeration; quickly first while a slider is moved.
func (m *Pane) setSagDrawn(times float64, moving bool) {
	m.SagDrawn = times
	if times > 0 && !m.overlays[OverlaySag] {
		m.SetOverlay(OverlaySag, true) // without it the shape is drawn straight
	}
	if !moving {
		m.still()
		return
	}
	m.askBoth(true)
	m.stillSoon()
}

// SetPicking turns the picking of faces on or off in both views.
func (m *Pane) SetPicking(on bool) {
	for _, v := range m.Views {
		v.SetPicking(on)
	}
}

// Picking reports whether a click picks a face.
func (m *Pane) Picking() bool { return m.Views[0].picking }

// ToggleWhole gives one machine the whole space, or both their halves.
func (m *Pane) ToggleWhole(machine render.Machine) {
	if m.Whole == machine {
		machine = bothMachines
	}
	m.Whole = machine
	m.Refresh()
	m.still()
	if m.OnArranged != nil {
		m.OnArranged()
	}
}

// Recolour draws all anew after a change of theme.
func (m *Pane) Recolour() {
	m.Palette = PicturePalette()
	m.refreshLegend()
	m.still()
}
