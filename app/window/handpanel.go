package window

import (
	"kilnpoise/app/window/kit"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// handChoice is what the user asks for in the hand-over.
type handChoice struct {
	folder, name        string
	threeMF, stl, sheet bool
	bodies, raft        bool
	sintered, letter    bool
}

// handPanel is the way out: where to, at which size, which files, and what to do
// with the sheet. It takes the place of the reasons and gives it back.
type handPanel struct {
	OnWrite  func(handChoice)
	OnOpen   func(handChoice)
	OnPrint  func(handChoice)
	OnFolder func()
	OnDone   func()
	// OnWishes is called when what is asked for has changed, OnNotes when the
	// remarks have.
	OnWishes func(handWishes)
	OnNotes  func(string)

	box     *fyne.Container
	scroll  *kit.Scroller
	what    *kit.Prose
	doubts  *kit.Prose
	folder  *kit.EscEntry
	name    *kit.EscEntry
	size    *kit.OptionList
	scale   *kit.Prose
	threeMF *kit.EscCheck
	stl     *kit.EscCheck
	sheet   *kit.EscCheck
	bodies  *kit.EscCheck
	raft    *kit.EscCheck
	extras  *kit.Prose
	notes   *kit.EscEntry
	// longNotes says that there are more remarks than can be changed here.
	longNotes *kit.Prose
	paper     *kit.OptionList
	names     *kit.Prose
	write     *kit.EscButton
	open      *kit.EscButton
	print     *kit.EscButton
	report    *fyne.Container
	// planned tells that the supports of the candidate are planned.
	planned bool
	// setting is true while the panel is being brought up to date.
	setting bool
}

// The options of size and paper, in their order.
const (
	sizeGreen = iota
	sizeSintered
)

const (
	paperA4 = iota
	paperLetter
)

func newHandPanel() *handPanel {
	p := &handPanel{what: kit.NewBody(""), doubts: kit.NewBody(""), scale: kit.NewSmall(""), extras: kit.NewSmall(""), longNotes: kit.NewSmall(""), names: kit.NewSmall(""), report: kit.NewPile(4)}
	leave := func() { kit.Call(p.OnDone) }
	p.folder, p.name = kit.NewEscEntry(leave), kit.NewEscEntry(leave)
	changed := func(bool) { p.changed() }
	p.threeMF = kit.NewEscCheck("Mesh as 3MF, with orientation and factors", changed, leave)
	p.stl = kit.NewEscCheck("Mesh as binary STL", changed, leave)
	p.bodies = kit.NewEscCheck("with its planned supports and setter blocks", changed, leave)
	p.raft = kit.NewEscCheck("with a raft below", changed, leave)
	p.sheet = kit.NewEscCheck("Sheet for the shop, PDF", changed, leave)
	p.size = kit.NewOptionList(false, "Green size, ready to print", "Finished size, scaled in the next program")
	p.paper = kit.NewOptionList(true, "A4", "Letter")
	p.size.OnEscape, p.paper.OnEscape = leave, leave
	p.notes = kit.NewEscEntry(leave)
	p.notes.MultiLine, p.notes.Wrapping = true, fyne.TextWrapWord
	p.notes.SetMinRowsVisible(3)
	p.notes.SetPlaceHolder("remarks for the shop, printed on the sheet")
	p.write = kit.NewEscButton("Write the files", p.doWrite, leave)
	p.write.Importance = widget.HighImportance
	p.open = kit.NewEscButton("Open the sheet", func() { p.do(p.OnOpen) }, leave)
	p.print = kit.NewEscButton("Print the sheet", func() { p.do(p.OnPrint) }, leave)
	p.longNotes.Hide()
	p.scroll = kit.NewScroller(kit.NewPile(0, p.parts()...))
	back := kit.NewEscButton("Back to the reasons", leave, leave)
	bottom := kit.NewPile(0, kit.Hairline(), kit.NewInset(0, 8, 0, 4, container.NewGridWithColumns(2, back, p.write)))
	p.box = container.NewBorder(nil, bottom, nil, nil, p.scroll)
	p.preset()
	return p
}

// preset asks for everything, and only then listens to changes.
func (p *handPanel) preset() {
	for _, c := range []*kit.EscCheck{p.threeMF, p.stl, p.sheet} {
		c.SetChecked(true)
	}
	p.size.OnChanged = func(int) { p.changed() }
	p.paper.OnChanged = func(int) { p.changed() }
	p.notes.OnChanged = func(text string) {
		if !p.setting && p.OnNotes != nil {
			p.OnNotes(text)
		}
	}
	p.name.OnChanged = func(string) { p.changed() }
	p.folder.OnSubmitted = func(string) { p.doWrite() }
	p.name.OnSubmitted = func(string) { p.doWrite() }
}

// parts lists what stands in the panel, from top to bottom.
func (p *handPanel) parts() []fyne.CanvasObject {
	label := func(text string) fyne.CanvasObject {
		return kit.NewProse(kit.RoleSmallStrong, theme.ColorNameForeground, text)
	}
	browse := kit.NewEscButton("Choose…", func() { kit.Call(p.OnFolder) }, func() { kit.Call(p.OnDone) })
	return []fyne.CanvasObject{
		kit.NewHeading("Hand over"), kit.Gap(4), p.what, p.doubts, kit.Gap(10),
		label("Folder"), kit.Gap(2), container.NewBorder(nil, nil, nil, browse, p.folder), kit.Gap(8),
		label("Name"), kit.Gap(2), p.name, kit.Gap(10),
		label("Size of the mesh"), kit.Gap(2), p.size, p.scale, kit.Gap(8),
		label("Files"), p.threeMF, p.stl, kit.NewInset(24, 0, 0, 0, p.bodies), kit.NewInset(24, 0, 0, 0, p.raft), p.extras,
		p.sheet, kit.NewInset(24, 0, 0, 0, p.paper), kit.NewInset(24, 2, 0, 0, p.notes), kit.NewInset(24, 0, 0, 0, p.longNotes), p.names, kit.Gap(10),
		kit.NewFlow(6, 4, p.open, p.print), kit.Gap(8), p.report, kit.Gap(8),
	}
}

// SetWhat says what is handed over, what is in doubt about it, and the scaling that
// the finished size would need.
func (p *handPanel) SetWhat(what, doubts, scale string) {
	p.what.SetText(what)
	p.doubts.SetText(doubts)
	kit.SetVisible(p.doubts, doubts != "")
	p.scale.SetText(scale)
	p.scroll.Reflow()
}

// Begin shows the panel afresh, with where the files go by default.
func (p *handPanel) Begin(folder, name string) {
	p.setting = true
	defer func() { p.setting = false }()
	p.folder.SetText(folder)
	p.name.SetText(name)
	p.report.Objects = nil
	p.changed()
	p.scroll.Top()
}

// SetBodies says what of the support plan would be printed with the part; nothing
// can be asked for where text is empty.
func (p *handPanel) SetBodies(text string, possible bool) {
	was := p.setting
	p.setting, p.planned = true, possible
	p.extras.SetText(text)
	p.changed()
	p.setting = was
}

// extra reports whether bodies can be written with the part: at green size, and
// with a mesh.
func (p *handPanel) extra() bool {
	return p.planned && p.size.Selected == sizeGreen && (p.threeMF.Checked || p.stl.Checked)
}

// SetFolder shows another folder.
func (p *handPanel) SetFolder(folder string) { p.folder.SetText(folder) }

// SetWishes shows what is asked for, and the remarks.
func (p *handPanel) SetWishes(w handWishes, notes string) {
	p.setting = true
	defer func() { p.setting = false }()
	p.paper.Select(paperA4)
	if w.letter {
		p.paper.Select(paperLetter)
	}
	p.size.Select(sizeGreen)
	if w.sintered {
		p.size.Select(sizeSintered)
	}
	p.bodies.SetChecked(w.bodies)
	p.raft.SetChecked(w.raft)
	p.setNotes(notes)
	p.changed()
}

// The longest remarks that can be changed in the panel: the toolkit's field takes time
// with the square of its lines. More are kept and printed as they are.
const mostNoteLetters, mostNoteLines = 12_000, 250

// setNotes shows remarks; of very long ones the beginning, which is not to be changed.
func (p *handPanel) setNotes(notes string) {
	lines := strings.Count(notes, "\n") + 1
	long := len(notes) > mostNoteLetters || lines > mostNoteLines
	kit.SetVisible(p.longNotes, long)
	if long {
		p.longNotes.SetText("These remarks have " + kit.Plural(lines, "line") + ", too many to be changed here. The job keeps them all, and the sheet prints them; this is their beginning.")
		notes = firstLines(kit.FirstLetters(notes, mostNoteLetters), mostNoteLines)
		p.notes.Disable()
	} else {
		p.notes.Enable()
	}
	if p.notes.Text != notes {
		p.notes.SetText(notes)
	}
}

// firstLines cuts a text after so many lines.
func firstLines(text string, most int) string {
	end := 0
	for range most {
		next := strings.IndexByte(text[end:], '\n')
		if next < 0 {
			return text
		}
		end += next + 1
	}
	return text[:end]
}

// SetBusy says what is being done and holds the buttons.
func (p *handPanel) SetBusy(doing string) {
	for _, b := range []*kit.EscButton{p.write, p.open, p.print} {
		b.Disable()
	}
	p.say(kit.NewItem(kit.NewDash(), kit.NewBody(doing)))
}

// SetDone says how it ended; lines follow the first sentence.
func (p *handPanel) SetDone(kind kit.MarkKind, text string, lines []string) {
	for _, b := range []*kit.EscButton{p.write, p.open, p.print} {
		b.Enable()
	}
	items := []fyne.CanvasObject{kit.NewItem(kit.NewMark(kind), kit.NewBody(text))}
	for _, l := range lines {
		items = append(items, kit.NewInset(18, 0, 0, 0, kit.NewSmall(l)))
	}
	p.say(items...)
}

// Ask asks a question; lines follow it, and each answer does something.
func (p *handPanel) Ask(text string, lines []string, yes string, doYes func(), no string, doNo func()) {
	for _, b := range []*kit.EscButton{p.write, p.open, p.print} {
		b.Enable()
	}
	leave := func() { kit.Call(p.OnDone) }
	items := []fyne.CanvasObject{kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(text))}
	for _, l := range lines {
		items = append(items, kit.NewInset(18, 0, 0, 0, kit.NewBody(l)))
	}
	p.say(append(items, kit.NewFlow(6, 4, kit.NewEscButton(yes, doYes, leave), kit.NewEscButton(no, doNo, leave)))...)
}

func (p *handPanel) say(items ...fyne.CanvasObject) {
	p.report.Objects = items
	p.report.Refresh()
	p.scroll.Reflow()
	p.scroll.Bottom()
}

// Choice gives what is asked for now.
func (p *handPanel) Choice() handChoice {
	return handChoice{
		folder: p.folder.Text, name: p.name.Text,
		threeMF: p.threeMF.Checked, stl: p.stl.Checked, sheet: p.sheet.Checked,
		bodies: p.bodies.Checked && p.extra(), raft: p.raft.Checked && p.extra(),
		sintered: p.size.Selected == sizeSintered, letter: p.paper.Selected == paperLetter,
	}
}

// changed shows what the choices mean.
func (p *handPanel) changed() {
	if p.scroll == nil {
		return // still being made
	}
	c := p.Choice()
	p.names.SetText(fileNames(c))
	kit.SetVisible(p.scale, c.sintered)
	for _, check := range []*kit.EscCheck{p.bodies, p.raft} {
		if p.extra() {
			check.Enable()
		} else {
			check.Disable()
		}
	}
	if c.threeMF || c.stl || c.sheet {
		p.write.Enable()
	} else {
		p.write.Disable()
	}
	p.scroll.Reflow()
	if !p.setting && p.OnWishes != nil {
		p.OnWishes(handWishes{bodies: p.bodies.Checked, raft: p.raft.Checked, letter: c.letter, sintered: c.sintered})
	}
}

func (p *handPanel) doWrite() {
	if !p.write.Disabled() {
		p.do(p.OnWrite)
	}
}

func (p *handPanel) do(f func(handChoice)) {
	if f != nil {
		f(p.Choice())
	}
}

// fileNames says which files a choice leads to.
func fileNames(c handChoice) string {
	ending := "-green"
	if c.sintered {
		ending = "-turned"
	}
	var names string
	add := func(wanted bool, name string) {
		if !wanted {
			return
		}
		if names != "" {
			names += ", "
		}
		names += c.name + name
	}
	add(c.threeMF, ending+".3mf")
	add(c.stl, ending+".stl")
	add(c.sheet, "-sheet.pdf")
	if names == "" {
		return "No file is asked for."
	}
	return names
}
