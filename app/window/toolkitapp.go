package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
)

// appID names the program to the system.
const appID = "kilnpoise.desktop"

// toolkitApp is the toolkit's application, but for what its dialogs remember: the
// toolkit itself would empty and rewrite a file of its own whenever the program ends,
// and read it in between.
type toolkitApp struct {
	fyne.App
	remembered dialogPrefs
}

// newApp makes the toolkit's application, and makes it the current one. Its dialogs
// remember in store.
func newApp(store *prefStore) fyne.App {
	// Without a name the toolkit would look for one in files of the folder that it is
	// started in; with an ID it would keep that file.
	app.SetMetadata(fyne.AppMetadata{Name: "Kilnpoise"})
	a := toolkitApp{app.NewWithID(""), dialogPrefs{store: store}}
	fyne.SetCurrentApp(a)
	return a
}

func (toolkitApp) UniqueID() string { return appID }

func (a toolkitApp) Preferences() fyne.Preferences { return a.remembered }

// dialogPrefs is what the toolkit's dialogs remember: folders and layouts, as texts and
// whole numbers. They ask for nothing else.
type dialogPrefs struct {
	fyne.Preferences // nil
	store            *prefStore
}

func (p dialogPrefs) String(key string) string { return pref(p.store, key, "") }

func (p dialogPrefs) SetString(key, v string) { p.store.set(key, v) }

func (p dialogPrefs) Int(key string) int { return int(pref(p.store, key, 0.0)) }

func (p dialogPrefs) SetInt(key string, v int) { p.store.set(key, float64(v)) }
