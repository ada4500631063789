package window

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

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
	captions [2]*prose
	toggles  [overlayCount]*legendToggle
	legends  [2]*fyne.Container
	beam     *balance

	camera   render.Camera
	overlays overlaySet
	sagDrawn float64
	scenes   [2]*render.Scene
	last     [2]shownFrame
	palette  render.Palette
	// whole is the machine that has the whole space, or -1.
	whole  render.Machine
	settle *time.Timer
}

// bothMachines is the value of machines.whole when neither has all the space.
const bothMachines render.Machine = -1

// newMachines makes the pane; its workers end with ctx and hand over through post.
func newMachines(ctx context.Context, post func(func())) *machines {
	m := &machines{post: post, camera: render.DefaultCamera(), overlays: defaultOverlays(), whole: bothMachines}
	titles := [2]string{"Printer’s plate", "Furnace setter"}
	for i := range m.views {
		machine := render.Machine(i)
		m.views[i] = m.newView(machine)
		m.captions[i] = newProse(roleHeading, theme.ColorNameForeground, titles[i])
		m.captions[i].most = 1
		m.legends[i] = newFlow(4, 0)
		m.framers[i] = newFramer(ctx, func(s shownFrame) {
			post(func() { m.shown(machine, s) })
		})
	}
	for k := range m.toggles {
		t := newLegendToggle()
		t.OnToggled = func(on bool) { m.SetOverlay(overlayKind(k), on) }
		m.toggles[k] = t
		side := overlayKind(k).info().machine
		m.legends[side].Objects = append(m.legends[side].Objects, t)
	}
	m.beam = newBalance()
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
	v.OnKey = func(e *fyne.KeyEvent) {
		if m.OnKey != nil {
			m.OnKey(e)
		}
	}
	return v
}

// SetScenes shows a candidate on both machines; nil empties them.
func (m *machines) SetScenes(plate, setter *render.Scene) {
	m.scenes = [2]*render.Scene{plate, setter}
	m.refreshLegend()
	if plate == nil {
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
	m.sagDrawn = times
	m.still()
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
		Overlays: m.overlays.on(machine), Palette: m.palette,
	}
	r.shot.Overlays.SagExaggeration = m.sagDrawn
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

// refreshLegend writes the legends for what is drawn now.
func (m *machines) refreshLegend() {
	for k, t := range m.toggles {
		info := overlayKind(k).info()
		entry, found := m.entryFor(info)
		t.Set(entry, info.name, m.overlays[k], found)
	}
	m.Refresh()
}

// entryFor gives the legend of one overlay: its first mark, with words for all of
// its marks.
func (m *machines) entryFor(info overlayInfo) (render.LegendEntry, bool) {
	scene := m.scenes[info.machine]
	if scene == nil {
		return render.LegendEntry{Text: info.name, Color: opaque(themed(colorHairline))}, false
	}
	entries := scene.Legend(info.only, m.palette)
	if len(entries) == 0 {
		return render.LegendEntry{Text: info.none, Color: opaque(themed(colorHairline))}, false
	}
	entry := entries[0]
	entry.Text = info.words(entries)
	return entry, true
}
