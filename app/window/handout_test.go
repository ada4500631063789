package window

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/mesh/parallel/endtest"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
)

// seenIn lists the files of a folder that are not hidden, and fails where anything
// temporary is among those that are.
func seenIn(t *testing.T, folder string) []string {
	t.Helper()
	var out []string
	for _, name := range filesIn(t, folder) {
		switch {
		case name == ".kilnpoise-set.json":
		case strings.HasPrefix(name, "."):
			t.Errorf("%s stays in the folder", name)
		default:
			out = append(out, name)
		}
	}
	return out
}

// handOver hands over into a folder and gives what is asked, or "".
func (b *bench) handOver(c handChoice) string {
	b.t.Helper()
	b.beginHandOver()
	b.writeFiles(c)
	b.until("the hand-over", func() bool { return !b.handing.running() })
	if b.handOutNow == nil {
		return ""
	}
	return strings.Join(textsOf(b.hand.report), " ")
}

// answer taps an answer of the hand-over.
func (b *bench) answer(label string) {
	b.t.Helper()
	items := b.hand.report.Objects
	flow := items[len(items)-1].(*fyne.Container)
	for _, o := range flow.Objects {
		if button := o.(*kit.EscButton); button.Text == label {
			test.Tap(button)
			b.until("the answer", func() bool { return !b.handing.running() })
			b.settle()
			return
		}
	}
	b.t.Fatalf("there is no answer %q", label)
}

// content reads a file.
func content(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// Another candidate takes the place of the one handed over before only when the user
// says so, and then nothing of that one stays.
func TestAnotherCandidateAsksBeforeItReplaces(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	out := t.TempDir()
	all := handChoice{folder: out, name: "tee", threeMF: true, stl: true}
	if asked := b.handOver(all); asked != "" {
		t.Fatalf("in an empty folder it asks %q", asked)
	}
	first := content(t, filepath.Join(out, "tee-green.stl"))
	if asked := b.handOver(all); asked != "" || content(t, filepath.Join(out, "tee-green.stl")) != first {
		t.Errorf("the same once more asks %q", asked)
	}

	b.choose(1)
	small := handChoice{folder: out, name: "tee", stl: true}
	asked := b.handOver(small)
	if !strings.Contains(asked, "Replaced: tee-green.stl.") || !strings.Contains(asked, "it goes with what is replaced: tee-green.3mf.") {
		t.Fatalf("it asks %q", asked)
	}
	b.answer("Leave them")
	if got := seenIn(t, out); !slices.Equal(got, []string{"tee-green.3mf", "tee-green.stl"}) || content(t, filepath.Join(out, "tee-green.stl")) != first {
		t.Errorf("left are %q, or other ones", got)
	}
	b.handOver(small)
	b.answer("Replace them")
	if got := seenIn(t, out); !slices.Equal(got, []string{"tee-green.stl"}) || content(t, filepath.Join(out, "tee-green.stl")) == first {
		t.Errorf("after replacing there are %q, or the old ones", got)
	}
}

// What fails a gate is handed over only when the user says so, once for each way up of
// a part; what is in doubt is told and not asked about.
func TestAFailingWayAsksOnce(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	c := b.desk.candidate()
	setGate(c, orient.GateSag, orient.Doubtful, "Estimated sag 0.61 mm: likely over.")
	out := t.TempDir()
	all := handChoice{folder: out, name: "tee", stl: true}
	if asked := b.handOver(all); asked != "" || len(seenIn(t, out)) != 1 {
		t.Fatalf("in doubt it asks %q", b.said())
	}
	if told := plainSpaces(b.hand.doubts.Text); !strings.Contains(told, "Sag within the allowed: estimated sag 0.61 mm") {
		t.Errorf("the doubt is told as %q", told)
	}

	setGate(c, orient.GateDebinding, orient.Failed, "The thickest green wall, 30.0 mm, is over the 15.0 mm of the record.")
	out = t.TempDir()
	all.folder = out
	b.handOver(all)
	if said := plainSpaces(b.said()); !strings.Contains(said, "Walls within the debinding limit: the thickest green wall, 30.0 mm, is over") || strings.Contains(said, "0.61 mm") {
		t.Errorf("it says %q", said)
	}
	b.answer("Go back")
	if b.page.handing || len(filesIn(t, out)) != 0 {
		t.Errorf("after going back the folder holds %q", filesIn(t, out))
	}
	b.handOver(all)
	b.answer("Hand over all the same")
	if got := seenIn(t, out); !slices.Equal(got, []string{"tee-green.stl"}) {
		t.Errorf("after saying so there is %q", got)
	}
	all.folder = t.TempDir()
	if b.handOver(all); len(seenIn(t, all.folder)) != 1 {
		t.Errorf("once more it asks %q", b.said())
	}

	b.choose(1)
	setGate(b.desk.candidate(), orient.GateStands, orient.Failed, "It does not stand by itself.")
	all.folder = t.TempDir()
	if b.handOver(all); len(filesIn(t, all.folder)) != 0 {
		t.Error("another way up that fails is not asked about")
	}
	b.choose(0) // the question is left open
	if said := b.said(); strings.Contains(said, "does not stand") {
		t.Errorf("about another way up it still says %q", said)
	}
}

// setGate has a gate of a candidate say something, and all that fail be passed.
func setGate(c *orient.Candidate, name string, s orient.State, reason string) {
	c.Gates = slices.Clone(c.Gates)
	for i := range c.Gates {
		g := &c.Gates[i]
		switch {
		case g.Name == name:
			g.State, g.Passed, g.Reason = s, s == orient.Passed, reason
		case g.State == orient.Failed:
			g.State, g.Passed = orient.Passed, true
		}
	}
}

// What Kilnpoise did not write is named, and what is worked on is never written over.
func TestForeignFilesAreNamed(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	out := t.TempDir()
	mine := filepath.Join(out, "tee-green.stl")
	if err := os.WriteFile(mine, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	asked := b.handOver(handChoice{folder: out, name: "tee", stl: true})
	if !strings.Contains(asked, "Kilnpoise did not write it for this part, or it was changed since: tee-green.stl.") {
		t.Errorf("it asks %q", asked)
	}
	b.openPath(stlFile(t, "next.stl", tee())) // the question is left open
	b.until("the next part", func() bool { return b.desk.part.Name == "next" })
	b.settle()
	if got := seenIn(t, out); len(got) != 1 || content(t, mine) != "mine" {
		t.Errorf("the folder holds %q", got)
	}
	path := stlFile(t, "x-green.stl", tee())
	b.openPath(path)
	b.until("the part", func() bool { return b.desk.part.Name == "x-green" })
	b.waitAdvised()
	before := content(t, path)
	if b.handOver(handChoice{folder: filepath.Dir(path), name: "x", stl: true}); content(t, path) != before {
		t.Error("the part itself was written over")
	}
	if said := strings.Join(textsOf(b.hand.report), " "); !strings.Contains(said, "what was given to work on") {
		t.Errorf("it says %q", said)
	}
}

// A window that closes over a hand-over, or over its question, leaves nothing behind.
func TestClosingOverAHandOver(t *testing.T) {
	for _, question := range []bool{false, true} {
		b := advised(t, "tee.stl", tee())
		out := t.TempDir()
		if question {
			if err := os.WriteFile(filepath.Join(out, "tee-green.stl"), []byte("mine"), 0o600); err != nil {
				t.Fatal(err)
			}
			b.handOver(handChoice{folder: out, name: "tee", stl: true, sheet: true})
		} else {
			b.writeFiles(handChoice{folder: out, name: "tee", stl: true, sheet: true})
		}
		b.close()
		if err := b.end(); err != nil {
			t.Error(err)
		}
		seenIn(t, out)
	}
}

// Wherever a hand-over is given up while it is written, it leaves off soon and leaves
// nothing behind.
func TestWritingTheFilesLeavesOffSoon(t *testing.T) {
	a := orienttest.WholeAdvice(t, "ell", meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 20, 12, 5), meshtest.At(0, 0, 5, 5, 12, 20)}))
	folder := t.TempDir()
	endtest.Soon(t, 20, func(ctx context.Context) error {
		h := &handOut{
			order: handoverOrder{
				Order:   handover.Order{Advice: a, Candidate: &a.Candidates[0], Folder: folder, Name: "ell"},
				threeMF: true, stl: true, sheet: true, bodies: true,
			},
			then: func(context.Context, handed) (string, error) { return "", nil },
		}
		err := h.write(ctx, workshop{})
		h.drop()
		left := filesIn(t, folder)
		if err != nil && len(left) > 0 {
			t.Errorf("after %v these are left: %v", err, left)
		}
		for _, name := range left {
			if err := os.Remove(filepath.Join(folder, name)); err != nil {
				t.Error(err)
			}
		}
		return err
	})
}
