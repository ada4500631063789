// Package window is Kilnpoise's window: it shows a part on both machines, the
// candidates with the reasons, and the way out, and keeps all long work on
// goroutines of their own.
//
// The title of the window ends with the state of the work, so that a script that
// drives the window can wait for it: "opening", "advising", "advised" (ranked, the
// furnace still being solved), "fired" (solved too), "stopped" or "failed".
package window

import (
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"runtime"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"kilnpoise/app/fault"
	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
)

// Options are what the window is opened with.
type Options struct {
	// Path is the part to open, or the ID of a built-in one; "" opens the default part.
	Path string
	// Version is written into jobs; Build, which says what the program was built
	// from, is shown under Help.
	Version, Build string
	// Faults is where faults of the program are reported.
	Faults fault.Desk

	prefs *prefStore // nil for none
}

// Run opens the window and returns when it is closed. It must be called on the
// main goroutine. Without a display it returns an error.
func Run(o Options) (err error) {
	if !opensWindows {
		return errors.New("this program was built without its window; use \"advise\", or the program that comes with it")
	}
	if !hasDisplay() {
		return errors.New("there is no display to open a window on; use \"advise\" to work without one")
	}
	store, keep, note := openPrefs(ownPrefsPath(), toolkitPrefsPath())
	o.prefs = store
	a := newApp(store)
	a.SetIcon(fyne.NewStaticResource("icon.png", assets.Icon()))
	w, err := tryWindow(func() *mainWindow { return newWindow(a, workshop{}, openRecords(), o) })
	if err != nil {
		return err
	}
	if err := shown(w.win.Show); err != nil {
		return err
	}
	w.keepJobs()
	w.rememberIn(keep)
	if note != "" {
		w.board.Put(notice{key: noticePrefs, kind: kit.MarkNote, text: note})
	}
	w.begin(o.Path)
	err = o.Faults.Catch("the window", func() error {
		a.Run()
		return nil
	})
	return errors.Join(err, w.end())
}

// shown shows a window and reports why it cannot be shown: the toolkit only logs that,
// and would go on without a window.
func shown(show func()) error {
	var said strings.Builder
	was := log.Writer()
	log.SetOutput(&said)
	show()
	log.SetOutput(was)
	cause, failed := creationFault(said.String())
	if failed {
		return fmt.Errorf("no window can be opened, since this display has no OpenGL 2.1 (%s); install a graphics driver, or use \"advise\" to work without a window", cause)
	}
	_, _ = io.WriteString(was, said.String())
	return nil
}

// creationFault finds in what the toolkit logged whether and why a window could not be
// made.
func creationFault(said string) (cause string, failed bool) {
	for line := range strings.Lines(said) {
		failed = failed || strings.Contains(line, "window creation error")
		if _, c, ok := strings.Cut(line, "Cause: "); ok && cause == "" {
			cause = strings.TrimSpace(c)
		}
	}
	return cause, failed
}

// keepJobs has jobs saved by themselves in the user's folder, and offers what was
// not saved when the program last ended.
func (w *mainWindow) keepJobs() {
	folder, err := job.StateFolder()
	if err != nil {
		w.board.Put(notice{key: noticeJob, kind: kit.MarkNote, text: kit.Sentence(err)})
		return
	}
	w.keepJobsIn(folder)
}

// keepJobsIn is keepJobs in a folder of one's own.
func (w *mainWindow) keepJobsIn(folder string) {
	w.offerLeftovers(folder)
	w.keeping.keeper = job.NewKeeper(folder, job.KeeperOptions{Guard: func(work func() error) error { return w.faults.Catch("keeping the job", work) }, Report: func(_ time.Time, err error) {
		if err != nil {
			w.post(func() { w.jobNotSaved(err) })
		}
	}})
	w.keeping.folder = folder
}

// endSitting lets the job go. What is not saved is offered at the next start.
func (w *mainWindow) endSitting() {
	w.dropHandOut()
	w.endKeeper()
	w.release()
}

// tryWindow makes the window. The toolkit panics with an error of GLFW where the
// display refuses; that becomes an error here, any other panic goes on.
func tryWindow(makeIt func() *mainWindow) (w *mainWindow, err error) {
	defer func() {
		switch fault := recover().(type) {
		case nil:
		case error:
			if !strings.Contains(fault.Error(), "GLFW") {
				panic(fault)
			}
			err = fmt.Errorf("no window can be opened on the display %s (%w); use \"advise\" to work without one", os.Getenv("DISPLAY"), fault)
		default:
			panic(fault)
		}
	}()
	return makeIt(), nil
}

// hasDisplay reports whether a window can be opened, as far as can be told
// before the toolkit tries, which panics.
func hasDisplay() bool {
	switch runtime.GOOS {
	case "windows", "darwin", "js", "android", "ios":
		return true
	default:
		return os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
	}
}
