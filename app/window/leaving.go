package window

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"

	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
	"kilnpoise/render"
)

// beginHandOver shows the hand-over for the chosen candidate.
func (w *mainWindow) beginHandOver() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	w.hand.Begin(w.handFolder(), handover.FileName(w.desk.part.Name))
	w.showHandOver()
	w.page.SetHanding(true)
	w.focusSoon(w.hand.folder)
}

// showHandOver says what is handed over; the rank may change while the panel is
// open.
func (w *mainWindow) showHandOver() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	w.dropQuestion(c)
	g, s := c.GreenSize, c.SinteredSize
	w.hand.SetWhat(fmt.Sprintf("%s, no. %d of %d: %s. Green %s, sintered %s.",
		w.desk.part.Name, c.Rank, len(w.desk.candidates()), poseText(c),
		kit.SizeText(g.X, g.Y, g.Z), kit.SizeText(s.X, s.Y, s.Z)), doubtsText(c), scaleText(c))
	w.hand.SetBodies(w.bodiesText(c), c.Plan != nil)
	w.hand.SetWishes(w.desk.hand, w.desk.notes)
}

// takeWishes keeps what is asked for in the hand-over with the job.
func (w *mainWindow) takeWishes(h handWishes) {
	if w.desk.part == nil || w.desk.hand == h {
		return
	}
	w.desk.hand = h
	w.slid("choose what is handed over")
}

// takeNotes keeps the remarks with the job.
func (w *mainWindow) takeNotes(text string) {
	w.desk.notes = text
	w.slid("write remarks")
}

// bodiesText says what would be printed with the part.
func (w *mainWindow) bodiesText(c *orient.Candidate) string {
	if c.Plan == nil {
		return "Its supports are not planned yet."
	}
	printed, blocks, grams := 0, 0, 0.0
	for i := range c.Plan.Items {
		t := &c.Plan.Items[i]
		switch {
		case w.desk.leaves(c, i):
		case t.Prints:
			printed, grams = printed+1, grams+t.MassG
		case t.Advice == support.SetterBlock:
			blocks++
		}
	}
	text := "The plan prints no supports"
	if printed > 0 {
		text = fmt.Sprintf("The plan prints supports for %s, about %.1f%sg (estimate)", kit.Plural(printed, "region"), grams, kit.NBSP)
	}
	if blocks > 0 {
		text += ", and " + kit.Plural(blocks, "setter block")
	}
	text += "."
	if n := len(w.desk.leavesOf(c)); n > 0 {
		text += " You leave " + kit.Plural(n, "region") + " out."
	}
	if printed+blocks == 0 {
		return text
	}
	return text + " Each is an object of its own in the 3MF and a file beside the STL."
}

// endHandOver gives the reasons back their place.
func (w *mainWindow) endHandOver() {
	if w.page.handing {
		w.page.SetHanding(false)
		w.win.Canvas().Unfocus()
	}
}

// handFolder is where files go unless the user says otherwise: beside the part,
// or where they went last, or home.
func (w *mainWindow) handFolder() string {
	if folder := w.partFolder(); folder != "" {
		return folder
	}
	if folder := w.prefs.folder(); folder != "" {
		return folder
	}
	if home, err := os.UserHomeDir(); err == nil {
		return home
	}
	return "."
}

// scaleText tells the percentages that the next program needs.
func scaleText(c *orient.Candidate) string {
	f := c.Pose.Oversize
	p := process.Percentages([3]float64{f.X, f.Y, f.Z})
	return fmt.Sprintf("Scale it there to X %s%s%%, Y %s%s%%, Z %s%s%%. The sheet says so too.",
		kit.Fixed(p[0], 2), kit.NBSP, kit.Fixed(p[1], 2), kit.NBSP, kit.Fixed(p[2], 2), kit.NBSP)
}

// order makes the order for what is asked for, or says what is wrong with it.
func (w *mainWindow) order(c handChoice) (handoverOrder, error) {
	chosen := w.desk.candidate()
	if chosen == nil || w.desk.advice == nil {
		return handoverOrder{}, fmt.Errorf("there is no advice to hand over yet")
	}
	folder, err := typedFolder(c.folder)
	if err != nil {
		return handoverOrder{}, err
	}
	o := handoverOrder{
		Order: handover.Order{
			Advice: w.desk.advice, Candidate: chosen, Folder: folder, Name: handover.FileName(c.name), Notes: noteLines(w.desk.notes),
		},
		threeMF: c.threeMF, stl: c.stl, sheet: c.sheet, date: time.Now(),
		bodies: c.bodies, raft: c.raft, leave: w.desk.leavesOf(chosen),
	}
	left := o.leave
	o.LeftOut = func(item int) bool { return slices.Contains(left, item) }
	if c.sintered {
		o.Size = handover.Sintered
	}
	if c.letter {
		o.paper = render.Letter
	}
	return o, nil
}

// noteLines gives the remarks line by line, without empty ones.
func noteLines(text string) []string {
	var out []string
	for _, l := range strings.Split(text, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// askForFolder lets the user choose the folder.
func (w *mainWindow) askForFolder() {
	d := dialog.NewFolderOpen(func(l fyne.ListableURI, err error) {
		switch {
		case err != nil:
			w.hand.SetDone(kit.MarkFails, kit.Sentence(err), nil)
		case l != nil:
			w.hand.SetFolder(l.Path())
		}
	}, w.win)
	d.SetTitleText("Folder for the files")
	w.showFolders(w.win, w.hand.Choice().folder, d)
}
