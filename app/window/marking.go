package window

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// marking is the mark that is being made: the places picked so far, not yet kept.
type marking struct {
	// on is true while clicks in the views mark.
	on      bool
	what    markWhat
	within  float64
	seeds   []mark.Seed
	without []mark.Seed
	rings   int
	// facets are those picked, ascending.
	facets []int32
}

// usualWithinDeg takes the fillets of a face along.
const usualWithinDeg = 20

// beginMarking opens the marks, making the part ready for picking first.
func (w *mainWindow) beginMarking() {
	if w.desk.part == nil || w.desk.advice == nil {
		return
	}
	w.endHandOver()
	if !w.page.BriefOut() {
		w.openBrief()
	}
	w.marking = marking{on: true, what: w.marking.what, within: w.marking.within}
	if w.marking.within == 0 {
		w.marking.within = usualWithinDeg
	}
	w.machines.SetPicking(true)
	w.brief.ShowMarks()
	w.brief.marks.Clear()
	w.showMarking()
	w.focusSoon(w.brief.marks.what)
	w.readySurface()
}

// readySurface makes the part ready for picking, in the background.
func (w *mainWindow) readySurface() {
	if w.desk.surface != nil {
		return
	}
	m := w.desk.part.Mesh
	_, ticket := w.surfacing.begin(w.ctx)
	var s *mark.Surface
	w.background("making the part ready for marks", func() error {
		s = mark.NewSurface(m)
		return nil
	}, func(err error) {
		w.tellFault(err)
		if w.surfacing.done(ticket) && err == nil && w.desk.part != nil && w.desk.part.Mesh == m {
			w.desk.surface = s
			w.showMarking()
		}
	})
}

// endMarking leaves the marks; what is not kept is dropped.
func (w *mainWindow) endMarking() {
	if !w.marking.on {
		return
	}
	w.marking.on = false
	w.win.Canvas().Unfocus() // an entry of the marks would go on taking the keys
	w.clearMark()
	w.machines.SetPicking(false)
	w.brief.ShowBrief()
	w.showBrief()
}

// clearMark drops what is picked.
func (w *mainWindow) clearMark() {
	had := len(w.marking.facets) > 0
	w.marking.seeds, w.marking.without, w.marking.rings, w.marking.facets = nil, nil, 0, nil
	if had {
		w.tint()
	}
	w.showMarking()
}

// takeWhat marks something else from now on.
func (w *mainWindow) takeWhat(what markWhat) {
	w.marking.what = what
	w.brief.marks.Clear()
	w.clearMark()
}

// takeWithin lets faces bend more or less at an edge; what is picked follows.
func (w *mainWindow) takeWithin(deg float64) {
	m := &w.marking
	m.within = deg
	for _, seeds := range [][]mark.Seed{m.seeds, m.without} {
		for i := range seeds {
			seeds[i].WithinDeg, seeds[i].AreaMM2 = deg, 0
		}
	}
	w.gather()
}

// takeRings grows or shrinks what is picked by a row of facets.
func (w *mainWindow) takeRings(by int) {
	w.marking.rings += by
	if w.gather(); len(w.marking.facets) == 0 {
		w.marking.rings -= by // shrunk to nothing: not that far
		w.gather()
	}
}

// markFacet takes a click on the part.
func (w *mainWindow) markFacet(facet int) {
	s, m := w.desk.surface, &w.marking
	if s == nil || facet < 0 || facet >= len(s.Mesh().Facets) {
		return
	}
	if _, picked := slices.BinarySearch(m.facets, int32(facet)); picked && m.what.isFace() {
		m.leaveOut(s, facet)
		w.gather()
		return
	}
	seed := s.SeedOn(facet, m.withinFor(s, facet))
	switch {
	case m.what.isFace():
		m.without = slices.DeleteFunc(m.without, func(o mark.Seed) bool { return m.covers(s, o, facet) })
		m.seeds = append(slices.Clone(m.seeds), seed)
	case len(m.seeds) > 0 && len(m.seeds) < m.what.places():
		m.seeds = append(slices.Clone(m.seeds), seed)
	default:
		m.seeds = []mark.Seed{seed}
	}
	w.gather()
}

// leaveOut takes the face around a facet out of what is picked.
func (m *marking) leaveOut(s *mark.Surface, facet int) {
	left := slices.DeleteFunc(slices.Clone(m.seeds), func(o mark.Seed) bool { return m.covers(s, o, facet) })
	if len(left) < len(m.seeds) {
		m.seeds = left
		return
	}
	m.without = append(slices.Clone(m.without), s.SeedOn(facet, m.within))
}

// covers reports whether the face of a seed holds a facet.
func (m *marking) covers(s *mark.Surface, seed mark.Seed, facet int) bool {
	region, err := s.Find(seed)
	_, found := slices.BinarySearch(region, int32(facet))
	return err == nil && found
}

// withinFor gives how far the face around a facet may bend at an edge.
func (m *marking) withinFor(s *mark.Surface, facet int) float64 {
	switch {
	case m.what.isDimension():
		within := m.what.characteristic().WithinDeg()
		return within[len(m.seeds)%len(within)]
	case m.what == markLoad, m.what == markStock: // the wall of a bore where there is one, else a flat
		if _, err := mark.FitBore(s.Mesh(), s.Region(facet, mark.BoreWithinDeg)); err == nil {
			return mark.BoreWithinDeg
		}
		return mark.FlatWithinDeg
	default:
		return m.within
	}
}

// gather finds the facets of what is picked, and shows them.
func (w *mainWindow) gather() {
	m := &w.marking
	m.facets = nil
	if len(m.seeds) > 0 && w.desk.surface != nil {
		face := mark.KeptFace{Seeds: m.seeds, Without: m.without, Rings: m.rings}
		if found, err := face.Find(w.desk.surface); err == nil {
			m.facets = found.Facets
		}
	}
	w.tint()
	w.showMarking()
}

// showMarking brings the panel up to the state of the marking.
func (w *mainWindow) showMarking() {
	if !w.marking.on {
		return
	}
	m := &w.marking
	v := markView{what: m.what, withinDeg: m.within, picked: len(m.seeds) > 0, marks: w.keptLines()}
	switch {
	case w.desk.surface == nil:
		v.status = "Making the part ready for picking …"
	case len(m.seeds) == 0:
		v.status = "Nothing is picked yet."
	case m.what.isFace():
		v.ok = len(m.facets) > 0
		v.status = fmt.Sprintf("Picked: %s, %s mm².", kit.Plural(len(m.facets), "facet"), kit.Fixed(w.desk.surface.Area(m.facets), 0))
	case m.what == markLoad:
		v.status, v.ok = w.loadStatus()
	case m.what == markStock:
		v.status, v.measured, v.ok = w.stockStatus()
	default:
		v.status, v.measured, v.ok = w.dimensionStatus()
	}
	v.status = kit.Typeset(v.status)
	w.brief.marks.Set(v)
}

// dimensionStatus tells what is picked, and gives its length or angle.
func (w *mainWindow) dimensionStatus() (text string, measured float64, ok bool) {
	m := &w.marking
	what := m.what.characteristic()
	if len(m.seeds) < m.what.places() {
		return map[bool]string{true: "One bore or pin is picked; click the other face.", false: "One flat is picked; click the other."}[what.Features()[0]], 0, false
	}
	d, err := (&mark.KeptDimension{What: what, Seeds: m.seeds}).Find(w.desk.surface)
	if err != nil {
		return kit.FullStop(kit.UpperFirst(err.Error())), 0, false
	}
	name := kit.UpperFirst(what.String())
	switch {
	case what.IsZone():
		limit, rule := d.Limit()
		return fmt.Sprintf("%s of a face %.1f mm long; %s allows %.2f mm.", name, d.On[0].SpanMM, rule, limit), 0, true
	case what == mark.Angle:
		return fmt.Sprintf("%s %.2f°.", name, d.NominalDeg), d.NominalDeg, true
	}
	return fmt.Sprintf("%s %.3f mm, along %s of the part.", name, d.NominalMM, alongText(d.Along)), d.NominalMM, true
}

// usualStock is what is offered as stock, mm (judgement: enough for one cut).
const usualStock = 0.5

// stockStatus tells the face that is to be machined.
func (w *mainWindow) stockStatus() (text string, mm float64, ok bool) {
	s, err := (&mark.KeptStock{Seed: w.marking.seeds[0], MM: usualStock}).Find(w.desk.surface)
	switch {
	case err != nil:
		return kit.FullStop(kit.UpperFirst(err.Error())), 0, false
	case !s.On.Round:
		return fmt.Sprintf("A flat of %s mm².", kit.Fixed(w.desk.surface.Area(s.On.Facets), 0)), usualStock, true
	case s.On.Bore.Inside:
		return fmt.Sprintf("A bore of %.2f mm.", s.On.Bore.DiameterMM), usualStock, true
	}
	return fmt.Sprintf("A pin of %.2f mm.", s.On.Bore.DiameterMM), usualStock, true
}

// loadStatus tells the direction of the load that is picked.
func (w *mainWindow) loadStatus() (string, bool) {
	along, err := w.loadAlong()
	if err != nil {
		return kit.FullStop(kit.UpperFirst(err.Error())), false
	}
	return "The load pulls along " + alongText(along) + " of the part.", true
}

// loadAlong gives the axis of a bore that is picked, or the normal of a flat.
func (w *mainWindow) loadAlong() (r3.Vec, error) {
	m, s := &w.marking, w.desk.surface
	if m.seeds[0].WithinDeg == mark.BoreWithinDeg {
		b, err := mark.FitBore(s.Mesh(), m.facets)
		return b.Axis, err
	}
	p, err := mark.FitPlane(s.Mesh(), m.facets)
	return p.Normal, err
}

// alongText writes a direction: an axis where it is one.
func alongText(d r3.Vec) string {
	for i, c := range [3]float64{d.X, d.Y, d.Z} {
		if c > 0.99999 || c < -0.99999 {
			return string("XYZ"[i])
		}
	}
	return kit.Typeset(fmt.Sprintf("(%.2f, %.2f, %.2f)", d.X, d.Y, d.Z))
}

// keepPicked keeps what is picked, as the button of the panel does.
func (w *mainWindow) keepPicked() {
	if w.marking.on {
		w.brief.marks.keepIt()
	}
}

// mostNameLetters is how long the name of a mark may be.
const mostNameLetters = 120

// keepMark keeps what is picked as a mark, and works the advice out with it.
func (w *mainWindow) keepMark(name string, nominal, tolerance float64) {
	m, kept := &w.marking, w.desk.kept
	m.measure(w.desk.surface)
	name = strings.TrimSpace(name)
	if n := utf8.RuneCountInString(name); n > mostNameLetters {
		w.brief.marks.status.SetText(fmt.Sprintf("The name has %d characters; up to %d can be shown. Shorten it.", n, mostNameLetters))
		return
	}
	name = mesh.PrintableName(name)
	switch {
	case m.what.isFace():
		kept.Faces = append(slices.Clone(kept.Faces), mark.KeptFace{
			Kind: mark.Kind(m.what), Name: name, Seeds: m.seeds, Without: m.without, Rings: m.rings,
		})
	case m.what.isDimension():
		kept.Dimensions = append(slices.Clone(kept.Dimensions), m.dimension(w.dimensionName(name), nominal, tolerance))
	case m.what == markStock:
		stock := mark.KeptStock{Name: name, Seed: m.seeds[0], MM: nominal}
		if _, err := stock.Find(w.desk.surface); err != nil {
			w.brief.marks.status.SetText(kit.FullStop(kit.UpperFirst(err.Error())))
			return
		}
		kept.Stock = append(slices.Clone(kept.Stock), stock)
	default:
		along, err := w.loadAlong()
		if err != nil {
			return
		}
		kept.Loads = append(slices.Clone(kept.Loads), mark.Load{Name: name, Along: along})
	}
	w.brief.marks.Clear()
	m.seeds, m.without, m.rings, m.facets = nil, nil, 0, nil
	w.takeMarks(kept, "mark the part")
}

// dimension gives what is picked as a dimension.
func (m *marking) dimension(name string, nominal, tolerance float64) mark.KeptDimension {
	d := mark.KeptDimension{Name: name, What: m.what.characteristic(), Seeds: m.seeds}
	switch {
	case d.What == mark.Angle:
		d.NominalDeg, d.ToleranceDeg = nominal, tolerance
	case d.What.IsZone():
		d.ToleranceMM = tolerance
	default:
		d.NominalMM, d.ToleranceMM = nominal, tolerance
	}
	return d
}

// measure notes the area of each face picked, by which it is known again.
func (m *marking) measure(s *mark.Surface) {
	for _, seeds := range [][]mark.Seed{m.seeds, m.without} {
		for i := range seeds {
			if region, err := s.Find(seeds[i]); err == nil {
				seeds[i].AreaMM2 = s.Area(region)
			}
		}
	}
}

// dimensionName gives a dimension a name to be told by.
func (w *mainWindow) dimensionName(name string) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("dimension %d", len(w.desk.kept.Dimensions)+1)
}

// removeMark drops a mark by its place in the list.
func (w *mainWindow) removeMark(i int) {
	kept := w.desk.kept
	switch f, d := len(kept.Faces), len(kept.Dimensions); {
	case i < f:
		kept.Faces = slices.Delete(slices.Clone(kept.Faces), i, i+1)
	case i < f+d:
		kept.Dimensions = slices.Delete(slices.Clone(kept.Dimensions), i-f, i-f+1)
	case i < f+d+len(kept.Loads):
		kept.Loads = slices.Delete(slices.Clone(kept.Loads), i-f-d, i-f-d+1)
	case i < f+d+len(kept.Loads)+len(kept.Stock):
		i -= f + d + len(kept.Loads)
		kept.Stock = slices.Delete(slices.Clone(kept.Stock), i, i+1)
	}
	w.takeMarks(kept, "remove a mark")
}

// takeMarks makes kept the marks of the part, and works the advice out with them;
// label is the step.
func (w *mainWindow) takeMarks(kept mark.Kept, label string) {
	w.desk.kept = kept
	found, lost := kept.Find(w.desk.surface)
	w.desk.brief.Marks = found
	w.did(label)
	w.tellLost(lost)
	w.tint()
	w.showMarking()
	w.rework()
}

// tellLost says which marks were not found on the part.
func (w *mainWindow) tellLost(lost []*mark.Lost) {
	if len(lost) == 0 {
		w.board.Clear(noticeMarks)
		return
	}
	var all []string
	for _, l := range lost {
		all = append(all, l.Error())
	}
	w.board.Put(notice{key: noticeMarks, kind: kit.MarkNote, actions: []noticeAction{{"Mark it again", w.beginMarking}},
		text: kit.Plural(len(lost), "mark") + " not found on this part: " + strings.Join(all, "; ") + "."})
}

// keptLines tells the marks, a line each.
func (w *mainWindow) keptLines() []string {
	var out []string
	k := &w.desk.kept
	for i := range k.Faces {
		f := &k.Faces[i]
		out = append(out, namedMark(kit.UpperFirst(f.Kind.String()), f.Name)+fmt.Sprintf(", %s", kit.Plural(len(f.Seeds), "face")))
	}
	for i := range k.Dimensions {
		d := &k.Dimensions[i]
		out = append(out, namedMark(kit.UpperFirst(d.What.String()), d.Name)+dimensionFigures(d))
	}
	for _, l := range k.Loads {
		out = append(out, namedMark("Load along "+alongText(l.Along), l.Name))
	}
	for _, f := range k.Stock {
		out = append(out, namedMark("To be machined", f.Name)+fmt.Sprintf(": %s mm of stock", kit.PlainNumber(f.MM)))
	}
	for i := range out {
		out[i] = kit.Typeset(out[i])
	}
	return out
}

// dimensionFigures tells what was entered for a dimension.
func dimensionFigures(d *mark.KeptDimension) string {
	var text string
	if nominal := d.NominalMM + d.NominalDeg; nominal > 0 {
		text = ": " + kit.PlainNumber(nominal) + dimensionUnit(d)
	}
	switch tolerance := d.ToleranceMM + d.ToleranceDeg; {
	case tolerance > 0 && d.What.IsZone():
		text += ": " + kit.PlainNumber(tolerance) + dimensionUnit(d)
	case tolerance > 0:
		text += " ± " + kit.PlainNumber(tolerance) + dimensionUnit(d)
	}
	return text
}

func dimensionUnit(d *mark.KeptDimension) string {
	if d.What == mark.Angle {
		return "°"
	}
	return " mm"
}

func namedMark(what, name string) string {
	if name == "" {
		return what
	}
	return what + " “" + name + "”"
}

// tint shows the marks, and what is picked, on the part in all its pictures.
func (w *mainWindow) tint() {
	if w.desk.part == nil || w.desk.candidate() == nil || w.desk.advice == nil {
		return
	}
	w.scenes.mark(w.markSets())
	w.showMachines()
}

// markSets gives what each facet is marked as now, and whether it is picked.
func (w *mainWindow) markSets() []orient.MarkSet {
	n := len(w.desk.part.Mesh.Facets)
	out := orient.MarkSets(&w.desk.brief.Marks, n)
	if len(w.marking.facets) == 0 {
		return out
	}
	if out == nil {
		out = make([]orient.MarkSet, n)
	}
	for _, f := range w.marking.facets {
		out[f] = out[f].WithPick()
	}
	return out
}
