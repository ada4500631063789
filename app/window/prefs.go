package window

import (
	"strings"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/orient"
)

// The keys of what is kept between sittings.
const (
	prefWidth    = "window.width"
	prefHeight   = "window.height"
	prefMode     = "window.mode"
	prefRecent   = "recent"
	prefMaterial = "brief.material"
	prefPrinter  = "brief.printer"
	prefFurnace  = "brief.furnace"
	prefWeight   = "brief.priority."
	prefPaper    = "handover.letter"
	prefFolder   = "handover.folder"
)

// prefs reads and changes what is kept between sittings. What is read is checked:
// nonsense gives the defaults.
type prefs struct{ store *prefStore }

const (
	usualWidth, usualHeight = 1280, 800
	leastWidth, leastHeight = 900, 620
	mostWidth, mostHeight   = 8000, 5000
	mostRecent              = 10
)

// windowSize gives the size of the window at the last sitting.
func (p prefs) windowSize() fyne.Size {
	w := pref(p.store, prefWidth, float64(usualWidth))
	h := pref(p.store, prefHeight, float64(usualHeight))
	if !(w >= leastWidth && w <= mostWidth && h >= leastHeight && h <= mostHeight) {
		w, h = usualWidth, usualHeight
	}
	return fyne.NewSize(float32(w), float32(h))
}

func (p prefs) setWindowSize(s fyne.Size) {
	p.store.set(prefWidth, float64(s.Width))
	p.store.set(prefHeight, float64(s.Height))
}

// mode gives the choice of light or dark.
func (p prefs) mode() kit.LightMode {
	switch m := kit.LightMode(pref(p.store, prefMode, "")); m {
	case kit.AlwaysLight, kit.AlwaysDark:
		return m
	default:
		return kit.AsSystem
	}
}

func (p prefs) setMode(m kit.LightMode) { p.store.set(prefMode, string(m)) }

// recent lists the files opened lately, the last first.
func (p prefs) recent() []string {
	var out []string
	for _, path := range pref(p.store, prefRecent, []string{}) {
		if strings.TrimSpace(path) != "" && len(out) < mostRecent {
			out = append(out, path)
		}
	}
	return out
}

// addRecent puts path first.
func (p prefs) addRecent(path string) {
	out := []string{path}
	for _, old := range p.recent() {
		if old != path && len(out) < mostRecent {
			out = append(out, old)
		}
	}
	p.setRecent(out)
}

func (p prefs) setRecent(list []string) { p.store.set(prefRecent, list) }

// dropRecent takes path away, when it is gone.
func (p prefs) dropRecent(path string) {
	out := []string{}
	for _, old := range p.recent() {
		if old != path {
			out = append(out, old)
		}
	}
	p.setRecent(out)
}

// recordIDs gives the records in use at the last sitting.
func (p prefs) recordIDs() [recordKinds]string {
	return [recordKinds]string{
		pref(p.store, prefMaterial, assets.DefaultMaterial),
		pref(p.store, prefPrinter, assets.DefaultPrinter),
		pref(p.store, prefFurnace, assets.DefaultFurnace),
	}
}

func (p prefs) setRecordIDs(ids [recordKinds]string) {
	for k, key := range [recordKinds]string{prefMaterial, prefPrinter, prefFurnace} {
		p.store.set(key, ids[k])
	}
}

// priorities gives the weights of the last sitting.
func (p prefs) priorities() orient.Priorities {
	weights := orient.DefaultPriorities()
	for _, k := range orient.AllPriorities() {
		if w := pref(p.store, prefWeight+k.Key(), weights[k]); w >= 0 && w <= mostWeight {
			weights[k] = w
		}
	}
	return weights
}

func (p prefs) setPriorities(weights orient.Priorities) {
	for _, k := range orient.AllPriorities() {
		p.store.set(prefWeight+k.Key(), weights[k])
	}
}

// letter reports whether sheets are printed on letter paper.
func (p prefs) letter() bool { return pref(p.store, prefPaper, false) }

// folder is where files were handed over last, or "".
func (p prefs) folder() string { return pref(p.store, prefFolder, "") }

func (p prefs) setFolder(folder string) { p.store.set(prefFolder, folder) }

func (p prefs) setHandover(letter bool, folder string) {
	p.store.set(prefPaper, letter)
	p.setFolder(folder)
}
