package job_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/orient/mark"
)

// What is the same is told by what it holds, whatever was packed or cleared before.
func TestSame(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(*job.Job)
		same   bool
	}{
		"nothing":              {func(*job.Job) {}, true},
		"the same part anew":   {func(j *job.Job) { j.Part.Content = job.NewContent(slices.Clone(j.Part.Content.Bytes())) }, true},
		"another part":         {func(j *job.Job) { j.Part.Content = job.NewContent([]byte("x")) }, false},
		"no part":              {func(j *job.Job) { j.Part.Content = nil }, false},
		"the unit":             {func(j *job.Job) { j.Part.Unit += "x" }, false},
		"an empty list":        {func(j *job.Job) { j.Sheet.Fields = append([]job.Field{}, j.Sheet.Fields...) }, true},
		"notes":                {func(j *job.Job) { j.Notes += "." }, false},
		"a priority":           {func(j *job.Job) { j.Brief.Priorities[1]++ }, false},
		"a direction":          {func(j *job.Job) { j.Brief.Directions = append(slices.Clone(j.Brief.Directions), r3.Vec{X: 1}) }, false},
		"a figure of a record": {func(j *job.Job) { j.Brief.Material.OverhangLimitDeg++ }, false},
		"what is not a number": {func(j *job.Job) { j.Choice.Up.X = math.NaN() }, false},
		"a region left out":    {func(j *job.Job) { j.Choice.LeftOut = append(slices.Clone(j.Choice.LeftOut), mark.Seed{WithinDeg: 1}) }, false},
		"the time":             {func(j *job.Job) { j.Created = j.Created.Add(time.Second) }, false},
	} {
		a, b := sample(t), sample(t)
		tt.change(&b)
		if a.Same(b) != tt.same || b.Same(a) != tt.same || !b.Same(b) {
			t.Errorf("%s: same %v and %v, want %v; like itself %v", name, a.Same(b), b.Same(a), tt.same, b.Same(b))
		}
	}
	var none, empty job.Job
	empty.Brief.Directions, empty.Choice.LeftOut, empty.Brief.Marks.Faces = []r3.Vec{}, []mark.Seed{}, none.Brief.Marks.Faces[:0]
	if !none.Same(empty) {
		t.Error("an empty list is taken for another than none")
	}
}
