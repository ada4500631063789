package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// sagRow takes what one beam of a creep coupon came down.
type sagRow struct {
	hold                  *kit.EscSelect
	span, thickness, drop *bookEntry
	remove                *kit.Link
	box                   *fyne.Container
}

func sagColumns() []float32 { return []float32{150, 84, 84, 84, natural, 0} }

func sagTitles() *fyne.Container {
	return newCells(6, sagColumns(), kit.NewSmall("beam"), kit.NewSmall("span, mm"), kit.NewSmall("thick, mm"), kit.NewSmall("sag, mm"), kit.NewSmall(""), kit.NewSmall(""))
}

func newSagRow(host *rowHost, s book.Sag, removed func(*sagRow)) *sagRow {
	row := &sagRow{span: newBookEntry(0, ""), thickness: newBookEntry(0, ""), drop: newBookEntry(0, "")}
	row.hold = kit.NewEscSelect(nil, host.escape)
	row.hold.Options = holdNames()
	row.hold.SetSelectedIndex(int(s.Hold))
	row.remove = kit.NewLink("Remove", func() { removed(row) })
	row.remove.OnKey = kit.EscapeKey(host.escape)
	row.span.SetNumber(s.SpanMM)
	row.thickness.SetNumber(s.ThicknessMM)
	row.drop.SetNumber(s.SagMM)
	row.box = newMiddleCells(6, sagColumns(), row.hold, row.span, row.thickness, row.drop, row.remove, kit.NewProse(kit.RoleSmall, theme.ColorNameForeground, ""))
	for _, e := range row.entries() {
		host.tie(e, row.box, nil)
	}
	return row
}

func (row *sagRow) entries() []*bookEntry {
	return []*bookEntry{row.span, row.thickness, row.drop}
}

func (row *sagRow) texts() string {
	return strings.Join([]string{row.hold.Selected, row.span.Text, row.thickness.Text, row.drop.Text}, "\x00")
}
