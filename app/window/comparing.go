package window

import (
	"fmt"
	"math"
	"time"

	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// compareSaved says where the advice worked out now is not the one that the job was
// saved with.
func (w *mainWindow) compareSaved() {
	saved := job.Job{Advice: w.keeping.saved}
	w.keeping.saved = nil
	was, err := saved.Report()
	if err != nil || w.desk.advice == nil || !w.adviceIsOfNow() {
		return
	}
	differs := difference(was, orient.NewReport(w.desk.advice))
	if differs == "" {
		return
	}
	by := "with version " + w.keeping.carried.Program
	if w.keeping.carried.Program == w.version {
		by = "with this version"
	}
	w.board.Put(notice{key: noticeJob, kind: kit.MarkNote,
		text: "The advice worked out now is not the one saved on " + w.keeping.carried.Saved.Local().Format(time.DateOnly) + " " + by + ": " + differs + ". What is shown is of now."})
}

// difference names the first thing in which two advices differ, "" where they say the
// same. One that was saved before the furnace was solved is not held against one of
// after.
func difference(was, now orient.Report) string {
	if len(was.Candidates) == 0 || len(now.Candidates) == 0 || was.Candidates[0].RestingPose.SagMethod != now.Candidates[0].RestingPose.SagMethod {
		return ""
	}
	for i := range min(len(was.Candidates), len(now.Candidates)) {
		a, b := &was.Candidates[i], &now.Candidates[i]
		if a.Name != b.Name {
			return fmt.Sprintf("no. %d was “%s” and is “%s”", i+1, a.Name, b.Name)
		}
		for _, m := range []struct {
			what, unit string
			a, b       float64
		}{
			{"the support", "mm³", a.Measures.SupportVolumeMM3, b.Measures.SupportVolumeMM3},
			{"the sag", "mm", a.RestingPose.SagMM, b.RestingPose.SagMM},
			{"the cost", "", a.Cost, b.Cost},
		} {
			const alike = 1e-9 // of the value: what another processor may round otherwise
			if math.Abs(m.a-m.b) > alike*max(math.Abs(m.a), math.Abs(m.b), 1) {
				return fmt.Sprintf("%s of no. %d was %.6g%s and is %.6g%s", m.what, i+1, m.a, spaced(m.unit), m.b, spaced(m.unit))
			}
		}
	}
	if a, b := len(was.Candidates), len(now.Candidates); a != b {
		return fmt.Sprintf("it had %s and has %d", kit.Plural(a, "candidate"), b)
	}
	return ""
}

// spaced sets a space before a unit that there is.
func spaced(unit string) string {
	if unit == "" {
		return ""
	}
	return kit.NBSP + unit
}
