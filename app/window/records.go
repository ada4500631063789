package window

import (
	"reflect"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
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

// renamed gives the record of the desk the name that fits its figures.
func renamed[T any](shelf *process.Shelf[T], record *T, id string, before T) string {
	if kept, err := shelf.Get(id); err == nil {
		before = kept
	}
	return shelf.Renamed(before, *record)
}

// setRecordFigure changes one figure of a record of the desk, and its name with it;
// false where there is no such figure.
func (w *mainWindow) setRecordFigure(k recordKind, key, axis string, v float64) bool {
	b := &w.desk.brief
	switch k {
	case materialRecord:
		before := b.Material
		ok := setFigure(&b.Material, key, axis, v)
		b.Material.Name = renamed(w.records.Materials, &b.Material, before.ID, before)
		return ok
	case printerRecord:
		before := b.Printer
		ok := setFigure(&b.Printer, key, axis, v)
		b.Printer.Name = renamed(w.records.Printers, &b.Printer, before.ID, before)
		return ok
	default:
		before := b.Furnace
		ok := setFigure(&b.Furnace, key, axis, v)
		b.Furnace.Name = renamed(w.records.Furnaces, &b.Furnace, before.ID, before)
		return ok
	}
}

// takeKept puts a record that the shelf keeps on the desk.
func (w *mainWindow) takeKept(k recordKind, id string) error {
	b := &w.desk.brief
	var err error
	switch k {
	case materialRecord:
		b.Material, err = w.records.Materials.Get(id)
	case printerRecord:
		b.Printer, err = w.records.Printers.Get(id)
	default:
		b.Furnace, err = w.records.Furnaces.Get(id)
	}
	w.desk.ids[k] = id
	w.prefs.setRecordIDs(w.desk.ids)
	return err
}

// editRecord opens the record of that kind with all its figures.
func (w *mainWindow) editRecord(k recordKind) {
	b := &w.desk.brief
	switch k {
	case materialRecord:
		w.brief.ShowEditor(editing(w, k, w.records.Materials, &b.Material, materialFace))
	case printerRecord:
		w.brief.ShowEditor(editing(w, k, w.records.Printers, &b.Printer, printerFace))
	default:
		w.brief.ShowEditor(editing(w, k, w.records.Furnaces, &b.Furnace, furnaceFace))
	}
}

// recordFace is what the editor shows of a record besides its figures.
type recordFace struct {
	id, note string
	name     *string
	figures  []process.Figure
}

func materialFace(m *process.Material) recordFace {
	return recordFace{m.ID, m.Note, &m.Name, m.Figures()}
}

func printerFace(p *process.Printer) recordFace {
	return recordFace{p.ID, p.Note, &p.Name, p.Figures()}
}

func furnaceFace(f *process.Furnace) recordFace {
	return recordFace{f.ID, f.Note, &f.Name, f.Figures()}
}

// editing ties the editor to a record of the desk and the shelf that keeps it.
func editing[T any](w *mainWindow, k recordKind, shelf *process.Shelf[T], record *T, of func(*T) recordFace) editedRecord {
	face := of(record)
	return editedRecord{
		title: k.String(), name: *face.name, note: face.note, figures: face.figures,
		own: shelf.Edited(face.id), builtin: shelf.Builtin(face.id),
		set: func(key, axis string, v float64) string {
			if w.setRecordFigure(k, key, axis, v) {
				w.did("change a figure")
				w.rework()
			}
			return *of(record).name
		},
		save: func(name string) error { return keepDesk(w, k, shelf, *record, of, name) },
		remove: func() error {
			if err := shelf.Reset(face.id); err != nil {
				return err
			}
			id := face.id
			if !shelf.Builtin(id) {
				id = usualRecord(k)
			}
			if err := w.takeKept(k, id); err != nil {
				return err
			}
			w.did("delete a record")
			w.rework()
			w.editRecord(k)
			return nil
		},
		copy: func() { w.brief.ShowEditor(making(w, k, shelf, *record, of, copyName(*face.name))) },
		make: func() {
			if usual, err := shelf.Get(usualRecord(k)); err == nil {
				w.brief.ShowEditor(making(w, k, shelf, usual, of, ""))
			}
		},
	}
}

// usualRecord gives the ID of the built-in record that is used where none is chosen.
func usualRecord(k recordKind) string {
	return [...]string{assets.DefaultMaterial, assets.DefaultPrinter, assets.DefaultFurnace}[k]
}

// copyName is the name that a copy is offered under.
func copyName(name string) string {
	return strings.TrimSuffix(strings.TrimSuffix(name, ", changed"), ", copy") + ", copy"
}

// keepDesk keeps the record of the desk under a name: as one more record where the
// ID of a built-in one states a figure that has changed.
func keepDesk[T any](w *mainWindow, k recordKind, shelf *process.Shelf[T], r T, of func(*T) recordFace, name string) error {
	face := of(&r)
	if !shelf.Edited(face.id) && shelf.NeedsOwnID(r) {
		if name == *face.name {
			name = ""
		}
		return keepNew(w, k, shelf, r, of, name)
	}
	*face.name = name
	if err := shelf.Save(r); err != nil {
		return err
	}
	return w.keptAs(k, face.id)
}

// keepNew keeps one more record and puts it on the desk.
func keepNew[T any](w *mainWindow, k recordKind, shelf *process.Shelf[T], r T, of func(*T) recordFace, name string) error {
	kept, err := shelf.SaveAs(r, name)
	if err != nil {
		return err
	}
	return w.keptAs(k, of(&kept).id)
}

// keptAs goes on with a record that has been kept.
func (w *mainWindow) keptAs(k recordKind, id string) error {
	if err := w.takeKept(k, id); err != nil {
		return err
	}
	w.did("keep a record")
	w.rework()
	w.showBrief()
	w.editRecord(k)
	return nil
}

// making ties the editor to a record that is not kept yet and not used by the part.
func making[T any](w *mainWindow, k recordKind, shelf *process.Shelf[T], r T, of func(*T) recordFace, name string) editedRecord {
	record := &r
	return editedRecord{
		title: "New " + kit.LowerFirst(k.String()), name: name, figures: of(record).figures, fresh: true,
		set: func(key, axis string, v float64) string {
			setFigure(record, key, axis, v)
			return ""
		},
		save: func(name string) error {
			return keepNew(w, k, shelf, *record, of, name)
		},
	}
}
