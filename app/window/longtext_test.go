package window

import (
	"path/filepath"
	"strings"
	"testing"
)

// Remarks as long as a job keeps them are kept whole, however little of them is shown,
// and the field for them never holds more than it can show at once.
func TestLongRemarksAreKeptWhole(t *testing.T) {
	long := strings.Repeat("a remark\n", 400_000) // 3.6 MB of the 4 that a job keeps
	b := advised(t, "tee.stl", tee())
	b.takeNotes(long)
	path := filepath.Join(t.TempDir(), "tee.kilnpoise")
	b.save(path)
	b.letGo()
	b.openPath(path)
	b.until("the job", func() bool { return b.keeping.claim != nil })
	b.waitAdvised()
	b.beginHandOver()
	if n := len(b.hand.notes.Text); n == 0 || n > mostNoteLetters || !strings.HasPrefix(long, b.hand.notes.Text) || !b.hand.notes.Disabled() || !b.hand.longNotes.Visible() {
		t.Errorf("the field shows %d letters; disabled %v", n, b.hand.notes.Disabled())
	}
	b.hand.stl.SetChecked(false) // other wishes leave the remarks alone
	b.saveJob()
	b.until("the job to be saved", func() bool { return !b.savingJob.running() })
	if b.desk.notes != long || jobIn(t, path).Notes != long {
		t.Error("the remarks are cut")
	}
	b.takeNotes("short")
	b.showHandOver()
	if b.hand.notes.Text != "short" || b.hand.notes.Disabled() || b.hand.longNotes.Visible() {
		t.Errorf("short remarks show as %q", b.hand.notes.Text)
	}
}
