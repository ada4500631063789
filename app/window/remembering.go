package window

import (
	"errors"
	"io/fs"
	"kilnpoise/app/window/kit"
	"os"
	"path/filepath"
	"time"
)

// rememberPause is how long a change of preferences waits for more of them, as while a
// slider is drawn.
const rememberPause = time.Second

// remembering is where preferences are kept.
type remembering struct {
	path  string // "" for nowhere
	pause pauser
	told  bool // that they cannot be kept
}

// ownPrefsPath is where Kilnpoise keeps its preferences on this system; "" where that
// is not known.
func ownPrefsPath() string {
	base, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(base, "kilnpoise", "preferences.json")
}

// openPrefs reads the preferences at path, or else those that an earlier version kept
// in the file of the toolkit, where that is usable. The note says what had to be set
// aside, and keep is where to keep them from now on, "" for nowhere.
func openPrefs(path, old string) (_ *prefStore, keep, note string) {
	note, usable := checkPrefs(path)
	if !usable {
		return newPrefStore(nil), "", note
	}
	keep = path
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && note == "" && prefsFault(old) == nil {
		path = old
	}
	return newPrefStore(readPrefs(path)), keep, note
}

// rememberIn has preferences kept at path from now on.
func (w *mainWindow) rememberIn(path string) {
	w.remembering.path = path
	w.prefs.store.onChange = func() { w.remembering.pause.after(rememberPause, w.post, w.remember) }
}

// remember has what was changed written, in the background.
func (w *mainWindow) remember() {
	w.remembering.pause.stop()
	path, changed := w.remembering.path, w.prefs.store.takeChanged()
	if path == "" || len(changed) == 0 {
		return
	}
	w.errand("keeping the preferences", func() {
		if err := writePrefs(path, changed); err != nil {
			w.post(func() { w.notRemembered(err) })
		}
	})
}

// notRemembered tells once that preferences cannot be kept.
func (w *mainWindow) notRemembered(err error) {
	if w.remembering.told {
		return
	}
	w.remembering.told = true
	w.board.Put(notice{key: noticePrefs, kind: kit.MarkNote, text: "What Kilnpoise remembers from one sitting to the next cannot be kept: " + kit.Sentence(err)})
}

// checkLastFolder forgets the folder of the last hand-over where it is gone.
func (w *mainWindow) checkLastFolder() {
	folder := w.prefs.folder()
	if folder == "" {
		return
	}
	w.background("looking at the folder", func() error { return folderThere(folder) }, func(err error) {
		if err != nil && w.prefs.folder() == folder {
			w.prefs.setFolder("")
		}
	})
}
