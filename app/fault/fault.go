// Package fault catches panics where a task begins, so that a fault of the program
// costs that task and nothing else, and writes a report of it that holds nothing of
// the user's part.
package fault

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"time"

	"kilnpoise/mesh/parallel"
)

// Error says that a task ended by a fault of the program.
type Error struct {
	// Task is what was being done, "advise" for instance.
	Task string
	// Report is the path of the report; "" where none could be written.
	Report string
	// Panic is what happened.
	Panic *parallel.Panic
}

// Error says so in one line, with the path of the report.
func (e *Error) Error() string {
	where := "no report of it could be written"
	if e.Report != "" {
		where = "the report for those who can mend it is " + e.Report
	}
	return fmt.Sprintf("a fault of the program itself has ended %q; %s", e.Task, where)
}

// Desk is where reports are written.
type Desk struct {
	// Folder is for the reports, and made where needed; where it cannot be, they go
	// to the system's temporary folder. See Folder.
	Folder string
	// Version is that of the program.
	Version string
}

// Catch does a task and gives its error. A panic in it, also one on another
// goroutine that a parallel.Group has carried over, is written into a report and
// given as *Error. Every goroutine that begins work of its own has to catch its
// own panics: nobody else can.
func (d Desk) Catch(task string, do func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			p := parallel.Recovered(v)
			err = &Error{Task: task, Report: d.write(task, p), Panic: p}
		}
	}()
	return do()
}

// mostReports is how many reports are kept, since a fault may come again and again.
const mostReports = 20

const prefix = "fault-"

// write writes the report and gives its path, or "".
func (d Desk) write(task string, p *parallel.Panic) string {
	now := time.Now()
	text := d.report(task, p, now)
	name := prefix + now.Format("20060102-150405.000") + fmt.Sprintf("-%d.txt", os.Getpid())
	for _, folder := range []string{d.Folder, filepath.Join(os.TempDir(), "kilnpoise")} {
		if folder == "" || os.MkdirAll(folder, 0o700) != nil {
			continue
		}
		path := filepath.Join(folder, name)
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		for n := 2; errors.Is(err, fs.ErrExist) && n < 100; n++ { // another task failed at this moment
			path = filepath.Join(folder, strings.TrimSuffix(name, ".txt")+fmt.Sprintf("-%d.txt", n))
			f, err = os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		}
		if err != nil {
			continue
		}
		_, err = f.WriteString(text)
		if f.Close() == nil && err == nil {
			prune(folder)
			return path
		}
		os.Remove(path)
	}
	return ""
}

// prune removes all reports but the newest.
func prune(folder string) {
	all, err := filepath.Glob(filepath.Join(folder, prefix+"*.txt"))
	if err != nil {
		return
	}
	slices.Sort(all) // by their time
	for _, old := range all[:max(0, len(all)-mostReports)] {
		_ = os.Remove(old)
	}
}

// report is the text: version, time, task, what happened and where. The functions of
// the stack are told without their arguments, and of a panic with a text of its own
// only its kind, since both may hold something of the part or its path.
func (d Desk) report(task string, p *parallel.Panic, now time.Time) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Kilnpoise %s, %s, %s/%s, %d cores\n%s\ntask: %s\n", d.Version, runtime.Version(), runtime.GOOS, runtime.GOARCH,
		runtime.NumCPU(), now.Format(time.RFC3339), task)
	fmt.Fprintf(&b, "panic: %s\n\n", kindOf(p.Value))
	frames := runtime.CallersFrames(p.Callers)
	for {
		f, more := frames.Next()
		fmt.Fprintf(&b, "%s\n\t%s:%d\n", f.Function, filepath.Base(f.File), f.Line)
		if !more {
			return b.String()
		}
	}
}

// kindOf tells what a panic was about without a word that could come from a part.
func kindOf(v any) string {
	if e, ok := v.(runtime.Error); ok {
		return e.Error() // an index, a nil pointer: numbers of the program's own
	}
	return reflect.TypeOf(v).String()
}
