package window

import (
	"errors"
	"reflect"
	"strings"

	"fyne.io/fyne/v2"

	"kilnpoise/app/fault"
	"kilnpoise/app/window/kit"
)

// background does work on a goroutine of its own, and has the UI goroutine take what
// came of it. A fault of the program costs that work alone: take gets it as an error.
func (w *mainWindow) background(task string, work func() error, take func(error)) {
	go func() {
		err := w.faults.Catch(task, work)
		w.post(func() { take(err) })
	}()
}

// errand has something done on the disk, in order; see errands.
func (w *mainWindow) errand(task string, f func()) {
	w.errands.do(func() { w.attemptAway(task, f) })
}

// attemptAway does something on a goroutine of its own; a fault of the program in it
// is told.
func (w *mainWindow) attemptAway(task string, f func()) {
	err := w.faults.Catch(task, func() error {
		f()
		return nil
	})
	if err != nil {
		told := w.errands.failed(err)
		w.post(func() {
			told()
			w.tellFault(err)
		})
	}
}

// post has f done on the UI goroutine, soon, unless the window is closed before.
func (w *mainWindow) post(f func()) {
	w.deliver(func() {
		if w.ctx.Err() == nil {
			w.attempt("showing what was worked out", f)
		}
	})
}

// attempt does something on the UI goroutine; a fault of the program in it is told.
func (w *mainWindow) attempt(task string, f func()) {
	w.tellFault(w.faults.Catch(task, func() error {
		f()
		return nil
	}))
}

// tellFault tells of a fault of the program; other errors are told by those who got
// them.
func (w *mainWindow) tellFault(err error) {
	var f *fault.Error
	if errors.As(err, &f) {
		w.board.Put(notice{key: noticeFault, kind: kit.MarkFails, text: kit.Sentence(err) + " The job is as it was before."})
	}
}

// asked names what a click, a key or a menu begins, in the report of a fault.
const asked = "what was asked for last"

// guard has the wishes of widgets attempted: every field named On… that holds a
// function.
func (w *mainWindow) guard(widgets ...any) {
	for _, widget := range widgets {
		v := reflect.ValueOf(widget).Elem()
		for i := range v.NumField() {
			f := v.Field(i)
			if f.Kind() == reflect.Func && f.CanSet() && !f.IsNil() && strings.HasPrefix(v.Type().Field(i).Name, "On") {
				f.Set(w.guarded(f.Type(), reflect.ValueOf(f.Interface())))
			}
		}
	}
}

// guarded gives a function that attempts another, and gives zeros where it fails.
func (w *mainWindow) guarded(t reflect.Type, do reflect.Value) reflect.Value {
	return reflect.MakeFunc(t, func(args []reflect.Value) (out []reflect.Value) {
		for i := range t.NumOut() {
			out = append(out, reflect.Zero(t.Out(i)))
		}
		w.attempt(asked, func() { out = do.Call(args) })
		return out
	})
}

// safe is guard for one function.
func (w *mainWindow) safe(do func()) func() {
	return func() { w.attempt(asked, do) }
}

// guardMenu has what the items of a menu do attempted.
func (w *mainWindow) guardMenu(m *fyne.Menu) {
	for _, item := range m.Items {
		if item.Action != nil {
			item.Action = w.safe(item.Action)
		}
		if item.ChildMenu != nil {
			w.guardMenu(item.ChildMenu)
		}
	}
}
