package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	fynetest "fyne.io/fyne/v2/test"
)

// What the toolkit's dialogs remember is kept with the rest: each kind in use asks for
// nothing that dialogPrefs does not have, and its folder comes back.
func TestDialogsRememberInOurPreferences(t *testing.T) {
	store := newPrefStore(nil)
	fyne.SetCurrentApp(toolkitApp{fynetest.NewTempApp(t), dialogPrefs{store: store}})
	win := fynetest.NewTempWindow(t, nil)
	win.Resize(fyne.NewSize(800, 600))
	folder, err := storage.ListerForURI(storage.NewFileURI(t.TempDir()))
	if err != nil {
		t.Fatal(err)
	}
	for name, d := range map[string]*dialog.FileDialog{
		"for a file":   dialog.NewFileOpen(func(fyne.URIReadCloser, error) {}, win),
		"for a folder": dialog.NewFolderOpen(func(fyne.ListableURI, error) {}, win),
	} {
		store.takeChanged()
		d.SetLocation(folder)
		d.SetView(dialog.ListView)
		d.Show()
		d.Hide()
		kept := false
		for _, v := range store.values {
			text, _ := v.(string)
			kept = kept || strings.HasSuffix(text, folder.Path())
		}
		if !kept {
			t.Errorf("the dialog %s remembers no folder: %v", name, store.values)
		}
		clear(store.values)
	}
	p := dialogPrefs{store: store}
	p.SetInt("view", 3)
	if p.Int("view") != 3 || p.Int("none") != 0 || p.String("view") != "" {
		t.Errorf("%v", store.values)
	}
}
