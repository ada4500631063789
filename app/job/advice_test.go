package job_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

func TestAdviceIsKeptWithTheJob(t *testing.T) {
	j := sample(t)
	part := &mesh.Part{Name: "lug", File: "lug.stl", SHA256: j.Part.Content.SHA256(), Mesh: meshtest.Block(20, 30, 40), Health: mesh.Health{Watertight: true}}
	brief := orient.Brief{Material: j.Brief.Material, Printer: j.Brief.Printer, Furnace: j.Brief.Furnace, OnlyGiven: true, Directions: []r3.Vec{{X: 1}}}
	advice, err := orient.Advise(t.Context(), part, brief, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := orient.NewReport(advice)
	with, err := j.SetAdvice(want)
	if err != nil {
		t.Fatal(err)
	}
	if string(j.Advice) == string(with.Advice) {
		t.Error("the job itself was changed")
	}
	with, _, err = read(written(t, with))
	if err != nil {
		t.Fatal(err)
	}
	got, err := with.Report()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(orient.CheckSize{}, "Facets"), cmpopts.IgnoreUnexported(orient.Measures{})); diff != "" || len(got.Candidates) == 0 {
		t.Errorf("%d candidates, difference:\n%s", len(got.Candidates), diff)
	}
}

func TestReportOfNoAdvice(t *testing.T) {
	for advice, says := range map[string]string{"": "no advice yet", `{"candidates": 7}`: "work it out anew", "[": "work it out anew"} {
		j := job.Job{Advice: []byte(advice)}
		if _, err := j.Report(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q gives %v", advice, err)
		}
	}
}

// A job goes from hand to hand: where the part lay is not in it.
func TestAdviceKeepsNoPath(t *testing.T) {
	for _, path := range []string{"/home/shop/orders/lug.stl", `C:\orders\lug.stl`, "lug.stl"} {
		j, err := job.Job{}.SetAdvice(orient.Report{Part: orient.PartReport{File: path}})
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Report()
		if err != nil || r.Part.File != "lug.stl" || strings.Contains(string(j.Advice), "orders") {
			t.Errorf("%s is kept as %q, %v", path, r.Part.File, err)
		}
	}
}
