package window

import (
	"reflect"

	"kilnpoise/orient/process"
)

// recordChanged reports whether figures in use differ from the record they were
// taken from.
func (w *mainWindow) recordChanged(k recordKind) bool {
	b := &w.desk.brief
	switch k {
	case materialRecord:
		kept, err := w.records.Materials.Get(b.Material.ID)
		return err == nil && !sameFigures(kept.Figures(), b.Material.Figures())
	case printerRecord:
		kept, err := w.records.Printers.Get(b.Printer.ID)
		return err == nil && !sameFigures(kept.Figures(), b.Printer.Figures())
	default:
		kept, err := w.records.Furnaces.Get(b.Furnace.ID)
		return err == nil && !sameFigures(kept.Figures(), b.Furnace.Figures())
	}
}

// sameFigures compares values only: sources do not change what is measured.
func sameFigures(a, b []process.Figure) bool {
	values := func(fs []process.Figure) []float64 {
		out := make([]float64, len(fs))
		for i, f := range fs {
			out[i] = f.Value
		}
		return out
	}
	return reflect.DeepEqual(values(a), values(b))
}

// editRecord opens the record of that kind with all its figures.
func (w *mainWindow) editRecord(k recordKind) {
	b := &w.desk.brief
	var r editedRecord
	switch k {
	case materialRecord:
		r = editing(w, w.records.Materials, &b.Material, b.Material.ID)
		r.title, r.note, r.figures = b.Material.Name, b.Material.Note, b.Material.Figures()
	case printerRecord:
		r = editing(w, w.records.Printers, &b.Printer, b.Printer.ID)
		r.title, r.note, r.figures = b.Printer.Name, b.Printer.Note, b.Printer.Figures()
	default:
		r = editing(w, w.records.Furnaces, &b.Furnace, b.Furnace.ID)
		r.title, r.note, r.figures = b.Furnace.Name, b.Furnace.Note, b.Furnace.Figures()
	}
	reset := r.reset
	r.reset = func() error {
		if err := reset(); err != nil {
			return err
		}
		w.did("go back to the built-in record")
		w.rework()
		w.editRecord(k)
		return nil
	}
	w.brief.ShowEditor(r)
}

// editing ties an editor to a record of the brief and the shelf that keeps it.
func editing[T any](w *mainWindow, shelf *process.Shelf[T], record *T, id string) editedRecord {
	return editedRecord{
		own: shelf.Edited(id),
		set: func(key, axis string, v float64) {
			if setFigure(record, key, axis, v) {
				w.did("change a figure")
				w.rework()
			}
		},
		save: func() error {
			if err := shelf.Save(*record); err != nil {
				return err
			}
			kept, err := shelf.Get(id)
			if err == nil {
				*record = kept // with the sources that saving has written
				w.showBrief()
			}
			return err
		},
		reset: func() error {
			if err := shelf.Reset(id); err != nil {
				return err
			}
			builtin, err := shelf.Get(id)
			if err == nil {
				*record = builtin
			}
			return err
		},
	}
}
