package window

import (
	"strings"

	"fyne.io/fyne/v2"

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

// prefs reads and writes what is kept between sittings. What is read is checked:
// a damaged file gives the defaults.
type prefs struct{ store fyne.Preferences }

const (
	usualWidth, usualHeight = 1280, 800
	leastWidth, leastHeight = 900, 620
	mostWidth, mostHeight   = 8000, 5000
	mostRecent              = 10
)

// windowSize gives the size of the window at the last sitting.
func (p prefs) windowSize() fyne.Size {
	w := p.store.FloatWithFallback(prefWidth, usualWidth)
	h := p.store.FloatWithFallback(prefHeight, usualHeight)
	if !(w >= leastWidth && w <= mostWidth && h >= leastHeight && h <= mostHeight) {
		w, h = usualWidth, usualHeight
	}
	return fyne.NewSize(float32(w), float32(h))
}

func (p prefs) setWindowSize(s fyne.Size) {
	p.store.SetFloat(prefWidth, float64(s.Width))
	p.store.SetFloat(prefHeight, float64(s.Height))
}

// mode gives the choice of light or dark.
func (p prefs) mode() lightMode {
	switch m := lightMode(p.store.String(prefMode)); m {
	case alwaysLight, alwaysDark:
		return m
	default:
		return asSystem
	}
}

func (p prefs) setMode(m lightMode) { p.store.SetString(prefMode, string(m)) }

// recent lists the files opened lately, the last first.
func (p prefs) recent() []string {
	var out []string
	for _, path := range p.store.StringList(prefRecent) {
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

// setRecent keeps the list. The toolkit would end the program over a value of another
// kind under that key.
func (p prefs) setRecent(list []string) {
	if p.store.StringListWithFallback(prefRecent, nil) == nil {
		p.store.RemoveValue(prefRecent)
	}
	p.store.SetStringList(prefRecent, list)
}

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
		p.store.StringWithFallback(prefMaterial, assets.DefaultMaterial),
		p.store.StringWithFallback(prefPrinter, assets.DefaultPrinter),
		p.store.StringWithFallback(prefFurnace, assets.DefaultFurnace),
	}
}

func (p prefs) setRecordIDs(ids [recordKinds]string) {
	for k, key := range [recordKinds]string{prefMaterial, prefPrinter, prefFurnace} {
		if p.store.String(key) != ids[k] {
			p.store.SetString(key, ids[k])
		}
	}
}

// priorities gives the weights of the last sitting.
func (p prefs) priorities() orient.Priorities {
	weights := orient.DefaultPriorities()
	for _, k := range orient.AllPriorities() {
		if w := p.store.FloatWithFallback(prefWeight+k.Key(), weights[k]); w >= 0 && w <= mostWeight {
			weights[k] = w
		}
	}
	return weights
}

func (p prefs) setPriorities(weights orient.Priorities) {
	for _, k := range orient.AllPriorities() {
		if key := prefWeight + k.Key(); p.store.FloatWithFallback(key, -1) != weights[k] {
			p.store.SetFloat(key, weights[k])
		}
	}
}
