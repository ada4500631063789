package window

import (
	"fmt"
	"image"
	"strconv"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// show brings the page up to the state of the desk.
func (w *mainWindow) show() {
	w.showHead()
	w.showShelf()
	w.showWhy()
	w.showMachines()
	w.showBrief()
	w.showHandOver()
	w.page.Refresh()
}

func (w *mainWindow) showHead() {
	d := &w.desk
	if d.part == nil {
		w.head.part.SetText("")
		w.head.verdict.SetText("Drop a part here, or open one.")
		return
	}
	w.head.part.SetText(soundness(d.facts))
	kit.SetVisible(w.head.unit, d.part.UnitAssumed || d.from.unit != "")
	w.head.brief.SetText(briefLine(&d.brief))
	c := d.candidate()
	switch {
	case c == nil:
		w.head.verdict.SetText("Working out which way up …")
	default:
		w.head.verdict.SetText(w.verdict(c))
	}
}

// verdict is the sentence for the chosen candidate.
func (w *mainWindow) verdict(c *orient.Candidate) string {
	all := w.desk.candidates()
	text := verdictSentence(c, asLoadedOf(all))
	switch {
	case w.desk.advice != nil && len(w.desk.advice.Brief.Coupon) > 0 && c.Origin == orient.AsLoaded:
		return couponVerdict
	case w.desk.advice == nil:
		return "Best so far. " + text
	case c.Rank > 1:
		if faults := verdictFaults(c); faults != "" {
			return place(c, len(all)) + " (" + faults + "). " + text
		}
		return place(c, len(all)) + ". " + text
	case c.State() == orient.Doubtful:
		return "No way up passes every gate for sure (" + verdictFaults(c) + "). Best is to " + kit.LowerFirst(text)
	case !c.Passes():
		return "No way up passes every gate (" + verdictFaults(c) + "). The least bad is to " + kit.LowerFirst(text)
	default:
		return text
	}
}

func asLoadedOf(all []orient.Candidate) *orient.Candidate {
	for i := range all {
		if all[i].Origin == orient.AsLoaded {
			return &all[i]
		}
	}
	return nil
}

// briefLine tells the brief in one line.
func briefLine(b *orient.Brief) string {
	return kit.Typeset(fmt.Sprintf("For %s; %s; %s. What counts most: %s.",
		b.Material.Name, b.Printer.Name, b.Furnace.Name, leading(b.Priorities)))
}

func (w *mainWindow) showShelf() {
	all := w.desk.candidates()
	faces := make([]cardFace, len(all))
	pictures := make([]*image.RGBA, len(all))
	for i := range all {
		faces[i] = faceOf(&all[i])
		pictures[i] = w.thumbs[all[i].Pose]
	}
	other := -1
	if w.besides.on() {
		other = w.other()
	}
	w.shelf.Set(faces, pictures, w.desk.index(), other)
}

func (w *mainWindow) showWhy() {
	c := w.desk.candidate()
	if c == nil {
		w.why.Set(nil, nil, nil, nil, false, nil, false)
		return
	}
	all := w.desk.candidates()
	var laying, notes []string
	if a := w.desk.advice; a != nil {
		laying, notes = a.LayingAdvice(c), append(notes, a.Notes...)
	}
	notes = append(notes, findings(w.desk.part)...)
	against := comparisons(c, all)
	if i := w.other(); w.besides.on() && i >= 0 {
		against = []comparison{{"no. " + strconv.Itoa(all[i].Rank), &all[i]}}
	}
	w.why.Set(c, against, laying, notes, w.desk.advice != nil, w.desk.leavesOf(c), w.sphere.drawn != nil)
	w.showSphere()
	w.drawChart()
}

// showMachines shows the chosen candidate on both machines, as soon as it is
// ready.
func (w *mainWindow) showMachines() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	if w.besides.on() {
		w.showBesides(c)
		return
	}
	w.machines.SetSizes(
		"green "+kit.SizeText(c.GreenSize.X, c.GreenSize.Y, c.GreenSize.Z),
		"shrinks "+percentText(w.desk.advice.Brief.Material.Shrinkage),
		"sintered "+kit.SizeText(c.SinteredSize.X, c.SinteredSize.Y, c.SinteredSize.Z))
	if staged, ok := w.scenes.find(c.Pose); ok {
		w.detailing.stop()
		w.putUp(&staged)
		return
	}
	ctx, ticket := w.detailing.begin(w.ctx)
	advice, chosen := w.desk.advice, *c
	var staged stagedCandidate
	w.background("making the candidate ready for the views", func() (err error) {
		staged, err = stage(ctx, w.engine, advice, &chosen)
		return err
	}, func(err error) { w.staged(ticket, staged, err) })
}

// staged takes a candidate that was made ready for the machines.
func (w *mainWindow) staged(ticket int, s stagedCandidate, err error) {
	if !w.detailing.done(ticket) {
		return
	}
	if err != nil {
		w.board.Put(notice{key: noticeAdvice, kind: kit.MarkFails, text: kit.Sentence(err)})
		return
	}
	w.scenes.add(s)
	if w.marking.on { // it does not know yet what is picked
		w.scenes.mark(w.markSets())
		s, _ = w.scenes.find(s.pose)
	}
	w.putUp(&s)
}

// putUp shows a candidate on both machines.
func (w *mainWindow) putUp(s *stagedCandidate) {
	w.machines.SetScenes(s.plate, s.onSetter(w.asPrinted))
	caption := machines.Titles()[render.OnSetter]
	if s.laid != nil {
		caption = "Setter, " + kit.Minus(strings.TrimPrefix(s.laidAs, "laid "))
		if w.asPrinted {
			caption = machines.Titles()[render.OnSetter] + ", as printed"
		}
	}
	w.machines.Captions[render.OnSetter].SetText(caption)
}

// toggleAsPrinted shows the part on the setter as printed, or as it is to be laid
// down.
func (w *mainWindow) toggleAsPrinted() {
	w.asPrinted = !w.asPrinted
	w.refreshMenu()
	w.showMachines()
}

// percentText writes the shrinkage in the three directions.
func percentText(s [3]float64) string {
	var parts []string
	for _, v := range s {
		parts = append(parts, kit.PlainNumber(v*100))
	}
	return strings.Join(parts, kit.NBSP+"/"+kit.NBSP) + kit.NBSP + "% in X" + kit.NBSP + "/" + kit.NBSP + "Y" + kit.NBSP + "/" + kit.NBSP + "Z"
}

// choose shows the candidate at that place of the shelf.
func (w *mainWindow) choose(i int) {
	if i < 0 || i >= len(w.desk.candidates()) {
		return
	}
	w.desk.choose(i)
	w.did(stepLabel(w.desk.candidate()))
	w.endHandOver()
	if !w.machines.Picking() {
		w.title.SetHint("")
	}
	w.machines.Region = 0
	w.show()
	w.planChosen()
}

// step walks along the shelf.
func (w *mainWindow) step(by int) {
	n := len(w.desk.candidates())
	if n == 0 {
		return
	}
	w.choose(min(max(w.desk.index()+by, 0), n-1))
}

// copyReasons puts the verdict and the reasons on the clipboard.
func (w *mainWindow) copyReasons() {
	c := w.desk.candidate()
	if c == nil {
		return
	}
	lines := append([]string{w.verdict(c)}, c.Reasons...)
	w.app.Clipboard().SetContent(kit.Typeset(strings.Join(lines, "\n")))
	w.title.SetHint("The reasons are on the clipboard.")
}
