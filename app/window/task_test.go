package window

import "testing"

func TestTask(t *testing.T) {
	var j task
	first, one := j.begin(t.Context())
	if !j.running() || !j.current(one) {
		t.Error("begun work does not run")
	}
	second, two := j.begin(t.Context())
	if first.Err() == nil {
		t.Error("new work does not cancel the old")
	}
	if j.current(one) || j.done(one) {
		t.Error("late results of cancelled work count")
	}
	if !j.done(two) || j.running() {
		t.Error("results of the work do not count")
	}
	if second.Err() == nil {
		t.Error("the context of ended work is not released")
	}
	third, three := j.begin(t.Context())
	j.stop()
	if third.Err() == nil || j.done(three) || j.running() {
		t.Error("stopped work goes on")
	}
	j.stop() // nothing to stop
}
