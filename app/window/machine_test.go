package window

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"kilnpoise/app/job"
	"kilnpoise/orient"
)

// plainModel is what must be on the disk, kept by hand.
type plainModel struct {
	// files are the remarks that each job file holds.
	files map[string]string
	// open is the job file that is open, "" for a part; part the name of what is.
	open, part string
	// steps are the remarks after each step, at is where undo stands, saved the
	// remarks that the file or the beginning holds.
	steps []string
	at    int
	saved string
	// aside are the remarks of jobs that were left unsaved; handed the candidate
	// handed over last, -1 for none.
	aside  []string
	handed int
}

func (m *plainModel) notes() string { return m.steps[m.at] }
func (m *plainModel) begin(open, part, notes string) {
	if m.notes() != m.saved {
		m.aside = append(m.aside, m.notes())
	}
	m.open, m.part, m.steps, m.at, m.saved = open, part, []string{notes}, 0, notes
}

// Opening, saving, saving elsewhere, undoing, handing over and closing in any order
// leave on the disk what a plain model says, and nothing else.
func TestAnyOrderLeavesOnTheDiskWhatItShould(t *testing.T) {
	parts := t.TempDir()
	for _, name := range []string{"tee", "cup"} {
		writeSTL(t, filepath.Join(parts, name+".stl"), tee())
	}
	tried := 0
	fewOrders(t)
	rapid.Check(t, func(rt *rapid.T) {
		tried++
		dir, err := os.MkdirTemp(parts, "run")
		if err != nil {
			rt.Fatal(err)
		}
		defer os.RemoveAll(dir)
		runMachine(t, rt, parts, dir)
	})
	t.Logf("%d orders tried", tried)
}

// fewOrders sets how many orders are tried: each opens a window. KILNPOISE_ORDERS asks
// for more.
func fewOrders(t *testing.T) {
	t.Helper()
	orders := "8"
	if testing.Short() {
		orders = "2"
	}
	if more := os.Getenv("KILNPOISE_ORDERS"); more != "" {
		orders = more
	}
	for name, value := range map[string]string{"rapid.checks": orders, "rapid.steps": "15"} {
		f := flag.Lookup(name)
		was := f.Value.String()
		if err := f.Value.Set(value); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = f.Value.Set(was) })
	}
}

func runMachine(t *testing.T, rt *rapid.T, parts, dir string) {
	jobs, out, state := filepath.Join(dir, "jobs"), filepath.Join(dir, "out"), filepath.Join(dir, "state")
	for _, d := range []string{jobs, out} {
		if err := os.Mkdir(d, 0o700); err != nil {
			rt.Fatal(err)
		}
	}
	b := newBench(t, &scripted{}, 900, 640)
	b.keepJobsIn(state)
	b.begin(filepath.Join(parts, "tee.stl"))
	b.waitAdvised()
	m := &plainModel{files: map[string]string{}, part: "tee", steps: []string{""}, handed: -1}
	next := 0
	wait := func() {
		b.until("the work", func() bool { return !b.opening.running() && !b.savingJob.running() && !b.handing.running() })
		b.waitAdvised()
		b.settle()
		b.q.drain()
	}
	openFile := func(path string) {
		b.openPath(path)
		wait()
	}
	rt.Repeat(map[string]func(*rapid.T){
		"write remarks": func(*rapid.T) {
			next++
			text := "remark " + strconv.Itoa(next)
			b.desk.notes = text
			b.did("write remarks " + text)
			m.steps, m.at = append(slices.Clone(m.steps[:m.at+1]), text), m.at+1
		},
		"undo": func(*rapid.T) {
			b.undo()
			m.at = max(m.at-1, 0)
		},
		"redo": func(*rapid.T) {
			b.redo()
			m.at = min(m.at+1, len(m.steps)-1)
		},
		"look at another candidate": func(rt *rapid.T) {
			if m.open == "" { // in a job it is a change
				b.desk.choose(rapid.IntRange(0, 2).Draw(rt, "candidate"))
			}
		},
		"open a part": func(rt *rapid.T) {
			name := rapid.SampledFrom([]string{"tee", "cup"}).Draw(rt, "part")
			if name == m.part {
				return // the same part again goes on with its job
			}
			openFile(filepath.Join(parts, name+".stl"))
			m.begin("", name, "")
		},
		"open a job": func(rt *rapid.T) {
			name := rapid.SampledFrom([]string{"a", "b"}).Draw(rt, "job")
			path := filepath.Join(jobs, name+job.Extension)
			held, there := m.files[path]
			if !there || path == m.open {
				return
			}
			openFile(path)
			m.begin(path, "", held)
		},
		"save": func(*rapid.T) {
			if m.open == "" {
				return
			}
			b.saveJob()
			wait()
			m.files[m.open], m.saved = m.notes(), m.notes()
		},
		"save elsewhere": func(rt *rapid.T) {
			path := filepath.Join(jobs, rapid.SampledFrom([]string{"a", "b"}).Draw(rt, "job")+job.Extension)
			b.saveJobTo(path)
			wait()
			m.files[path], m.saved, m.open = m.notes(), m.notes(), path
		},
		"save and leave at once": func(rt *rapid.T) {
			if m.open == "" {
				return
			}
			name := rapid.SampledFrom([]string{"tee", "cup"}).Draw(rt, "part")
			if name == m.part {
				return
			}
			b.saveJob()
			b.openPath(filepath.Join(parts, name+".stl"))
			wait()
			m.files[m.open], m.saved = m.notes(), m.notes()
			m.begin("", name, "")
		},
		"hand over": func(rt *rapid.T) {
			yes := rapid.Bool().Draw(rt, "replace")
			c := b.desk.candidate()
			b.beginHandOver()
			b.writeFiles(handChoice{folder: out, name: "x", stl: true})
			wait()
			if b.handOutNow != nil {
				if !yes {
					b.dropHandOut()
					b.settle()
					b.endHandOver()
					return
				}
				b.replace(b.handOutNow, "")
				wait()
			}
			b.endHandOver()
			checkHandedOver(rt, out, b.desk.advice, c)
			m.handed = c.Rank
		},
		"": func(rt *rapid.T) { checkDisk(rt, b, m, jobs, out) },
	})
	b.close()
	if err := b.end(); err != nil {
		rt.Fatal(err)
	}
	if m.notes() != m.saved {
		m.aside = append(m.aside, m.notes())
	}
	checkDisk(rt, nil, m, jobs, out)
	checkAside(rt, state, m.aside)
}

// checkDisk compares the folders with the model.
func checkDisk(rt *rapid.T, b *bench, m *plainModel, jobs, out string) {
	if b != nil && b.desk.notes != m.notes() {
		rt.Fatalf("on the desk is %q, want %q", b.desk.notes, m.notes())
	}
	list, err := os.ReadDir(jobs)
	if err != nil {
		rt.Fatal(err)
	}
	seen := 0
	for _, e := range list {
		if e.Name()[0] == '.' {
			if b == nil || e.Name() != "."+filepath.Base(m.open)+".lock" {
				rt.Fatalf("%s stays beside the jobs", e.Name())
			}
			continue
		}
		seen++
		path := filepath.Join(jobs, e.Name())
		j, _, err := job.ReadFile(rt.Context(), path)
		if err != nil || j.Notes != m.files[path] {
			rt.Fatalf("%s holds %q (%v), want %q", e.Name(), j.Notes, err, m.files[path])
		}
	}
	if seen != len(m.files) {
		rt.Fatalf("there are %d jobs, want %d", seen, len(m.files))
	}
	list, err = os.ReadDir(out)
	if err != nil {
		rt.Fatal(err)
	}
	for _, e := range list {
		if name := e.Name(); name != "x-green.stl" && name != ".kilnpoise-set.json" || m.handed < 0 {
			rt.Fatalf("%s is in the folder of the hand-over", name)
		}
	}
}

// checkHandedOver compares what was handed over with the candidate.
func checkHandedOver(rt *rapid.T, out string, a *orient.Advice, c *orient.Candidate) {
	info, err := os.Stat(filepath.Join(out, "x-green.stl"))
	if err != nil {
		rt.Fatal(err)
	}
	if want := int64(84 + 50*len(a.Part.Mesh.Facets)); info.Size() != want {
		rt.Fatalf("the mesh of no. %d has %d bytes, want %d", c.Rank, info.Size(), want)
	}
}

// checkAside compares what is offered at the next start with what was left unsaved.
func checkAside(rt *rapid.T, state string, want []string) {
	left, err := job.Leftovers(state)
	if err != nil {
		rt.Fatal(err)
	}
	var got []string
	for _, l := range left {
		j, _, err := l.Job(rt.Context())
		if err != nil {
			rt.Fatal(err)
		}
		got = append(got, j.Notes)
	}
	slices.Sort(got)
	want = slices.Clone(want)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		rt.Fatalf("kept of what was not saved are %q, want %q", got, want)
	}
}
