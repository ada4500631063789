package window

import (
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// takeRow is one figure as it is and as it would be.
type takeRow struct{ label, old, now, about string }

// taken is what would be taken over into a record.
type taken struct {
	title, intro string
	rows         []takeRow
	remarks      []string
	// keep takes it over, with a note; nil where nothing would change.
	keep func(note string)
}

// takeOver shows old and new figures side by side, to be confirmed.
type takeOver struct {
	OnBack func()

	box    *fyne.Container
	column *fyne.Container
	scroll *kit.Scroller
	note   *bookEntry
	keep   *kit.EscButton
	what   taken
}

func newTakeOver() *takeOver {
	t := &takeOver{column: kit.NewPile(0)}
	leave := func() { kit.Call(t.OnBack) }
	t.note = newBookEntry(0, "such as the number of the furnace’s service")
	t.note.OnEscape = leave
	t.scroll = kit.NewScroller(t.column)
	t.keep = kit.NewEscButton("Keep in my records", t.doKeep, leave)
	t.keep.Importance = widget.HighImportance
	t.note.OnNext = t.doKeep
	back := kit.NewEscButton("Back to the firings", leave, leave)
	t.box = container.NewBorder(nil, kit.NewInset(0, 6, 0, 0, kit.NewFlow(6, 4, t.keep, back)), nil, nil, t.scroll)
	return t
}

func takeColumns() []float32 { return []float32{130, 92, 92, 0} }

// Begin shows what would be taken over.
func (t *takeOver) Begin(what taken) {
	t.what = what
	t.note.SetText("")
	strong := func(text string) fyne.CanvasObject {
		return kit.NewProse(kit.RoleStrong, theme.ColorNameForeground, text)
	}
	out := []fyne.CanvasObject{kit.NewHeading(what.title), kit.Gap(4), kit.NewBody(what.intro), kit.Gap(10)}
	if len(what.rows) > 0 {
		out = append(out, newCells(10, takeColumns(), kit.NewSmall(""), kit.NewSmall("now"), kit.NewSmall("by the book"), kit.NewSmall("")), kit.Gap(2))
	}
	for _, r := range what.rows {
		out = append(out, newCells(10, takeColumns(), kit.NewBody(kit.Typeset(r.label)), kit.NewBody(kit.Typeset(r.old)), strong(kit.Typeset(r.now)), kit.NewSmall(kit.Typeset(r.about))), kit.Gap(4))
	}
	out = append(out, kit.Gap(8))
	for _, m := range what.remarks {
		out = append(out, kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(kit.Typeset(m))), kit.Gap(5))
	}
	if what.keep != nil {
		out = append(out, kit.Gap(6), under("note, kept with the figures", t.note), kit.Gap(8))
	}
	t.column.Objects = out
	enable(t.keep, what.keep != nil)
	t.column.Refresh()
	t.scroll.Reflow()
	t.scroll.Top()
}

func (t *takeOver) doKeep() {
	if t.what.keep != nil {
		t.what.keep(strings.TrimSpace(t.note.Text))
	}
}

// beginTaking shows what the fit would change in the record.
func (b *bookWindow) beginTaking() {
	f := b.fit
	if f == nil || !f.fitted || !f.known {
		return
	}
	p := f.shrink.Propose(f.record, time.Now(), "")
	what := taken{title: "Take over into my record", remarks: fullStops(p.Remarks), keep: b.keepShrinkage}
	what.intro = b.ownRecordOf(f.record) + " would get these figures, as measured in this shop, and be used from now on."
	for _, c := range p.Changes {
		what.rows = append(what.rows, changeRow(c))
	}
	for k := range p.OversizeOld {
		if p.OversizeOld[k] != p.OversizeNew[k] {
			what.rows = append(what.rows, takeRow{"Oversize, " + "XYZ"[k:k+1], fmt.Sprintf("%.4f", p.OversizeOld[k]), fmt.Sprintf("%.4f", p.OversizeNew[k]), "follows from the shrinkage"})
		}
	}
	if len(p.Changes) == 0 {
		what.intro, what.keep = "The record “"+f.record.Name+"” says the same already; nothing would change.", nil
	}
	b.beginWith(what)
}

// ownRecordOf names the record that figures are taken over into.
func (b *bookWindow) ownRecordOf(m process.Material) string {
	if b.main.records.Materials.Edited(m.ID) {
		return "Your own record “" + m.Name + "”"
	}
	return "A record of your own, made from “" + m.Name + "”,"
}

func (b *bookWindow) beginWith(what taken) {
	what.intro = kit.Typeset(what.intro)
	b.taking.Begin(what)
	b.page.Take(true)
	if what.keep != nil {
		b.focusSoon(b.taking.keep)
	}
}

// changeRow sets one figure of a record as it is and as it would be.
func changeRow(c process.Change) takeRow {
	shown := func(v float64) string {
		if c.Unit == "fraction" {
			return percent(v, 2)
		}
		return kit.PlainNumber(v) + " " + c.Unit
	}
	about := "now: " + tagWord(c.OldSource.Tag)
	if c.OldSource.Tag == "" {
		about = "now: source not said"
	}
	if c.WithinInterval {
		about += "; the firings do not contradict it"
	}
	label := kit.UpperFirst(c.Label)
	if short, ok := map[string]string{"shrinkage": "Shrinkage", "shrinkage_spread": "Its spread"}[c.Key]; ok {
		label = short
	}
	if c.Axis != "" {
		label += ", " + c.Axis
	}
	return takeRow{label, shown(c.Old), shown(c.New), about}
}

// beginTakingSag shows what the coupons would change in the record.
func (b *bookWindow) beginTakingSag() {
	f := b.fit
	if f == nil || f.sagWhy != nil || !f.known || len(f.beams) == 0 {
		return
	}
	was := f.record.Creep
	row := func(label string, old, now float64) takeRow {
		return takeRow{label, compliance(old), compliance(now), "1/Pa"}
	}
	b.beginWith(taken{
		title: "Take the sag over", remarks: fullStops(f.sag.Remarks), keep: b.keepSag,
		intro: fmt.Sprintf("%s would get the creep compliance that the coupons show: sag will be shown as %.2g times what it was.",
			b.ownRecordOf(f.record), f.sag.CompliancePerPa/was.CompliancePerPa),
		rows: []takeRow{row("Compliance", was.CompliancePerPa, f.sag.CompliancePerPa), row("at least", was.ComplianceLowPerPa, f.sag.LowPerPa),
			row("at most", was.ComplianceHighPerPa, f.sag.HighPerPa)},
	})
}

// endTaking goes back to what follows from the firings.
func (b *bookWindow) endTaking() {
	if b.page.taking {
		b.page.Take(false)
		b.win.Canvas().Unfocus()
	}
}

// keepShrinkage takes the fit over into the user's own record.
func (b *bookWindow) keepShrinkage(note string) {
	fit, today := b.fit, time.Now()
	b.keepRecord("take the shrinkage from the firing book", func(m process.Material) process.Material {
		return fit.shrink.Propose(m, today, note).Record
	})
}

// keepSag takes the fit of the coupons over.
func (b *bookWindow) keepSag(note string) {
	sag, today := b.fit.sag, time.Now()
	if note = strings.TrimSpace("firing book " + note); note != "firing book" {
		note = strings.Replace(note, "firing book ", "firing book, ", 1)
	}
	b.keepRecord("fit the sag to coupons of the firing book", func(m process.Material) process.Material {
		m.Creep.Calibrate(sag.CompliancePerPa, sag.LowPerPa, sag.HighPerPa, today, note)
		return m
	})
}

// keepRecord changes the user's own record of the material and, where the part on
// the desk is worked out with that material, works the advice out anew. Figures
// that were changed for that part alone stay so, and stay out of the record.
func (b *bookWindow) keepRecord(step string, change func(process.Material) process.Material) {
	w, d := b.main, &b.main.desk
	inUse := d.brief.Material.ID == b.material
	apart := inUse && w.recordChanged(materialRecord)
	record, err := w.records.Materials.Get(b.material)
	if err == nil {
		err = w.records.Materials.Save(change(record))
	}
	if err == nil {
		record, err = w.records.Materials.Get(b.material) // with the sources that saving has written
	}
	if err != nil {
		b.failed(err)
		return
	}
	text := "Kept in your own record “" + record.Name + "”"
	if !inUse {
		text += "; the part on the desk is worked out with another material."
	} else {
		text += ", and used from now on."
		if apart {
			record = change(d.brief.Material)
		}
		d.brief.Material = record
		w.did(step)
		w.rework()
	}
	b.endTaking()
	b.tell(kit.MarkPasses, kit.Typeset(text))
	b.refit()
}
