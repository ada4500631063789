package window

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/app/job"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// engine is what the window has done for it on worker goroutines. Everything it
// is given is a copy or is never changed.
type engine interface {
	// Open reads the part file at path, or a built-in part, and gives what the
	// file holds, nil where that is too large to keep.
	Open(ctx context.Context, from source) (*mesh.File, *job.Content, error)
	// Part makes one part of a file: a build item, or all of them.
	Part(ctx context.Context, f *mesh.File, item int) (*mesh.Part, error)
	Advise(ctx context.Context, p *mesh.Part, b orient.Brief, report func(orient.Progress)) (*orient.Advice, error)
	Revise(ctx context.Context, a *orient.Advice, b orient.Brief, report func(orient.Progress)) (*orient.Advice, error)
	// Fire solves the furnace for the candidates, plans the supports of the
	// first ones and ranks anew.
	Fire(ctx context.Context, a *orient.Advice, report func(orient.Progress)) (*orient.Advice, error)
	// Plan plans the supports of the candidate in that pose, leaving regions out.
	Plan(ctx context.Context, a *orient.Advice, p orient.Pose, left []int) (*orient.Advice, error)
	// Map measures n build directions spread over the whole sphere.
	Map(ctx context.Context, a *orient.Advice, n int) ([]orient.MapPoint, error)
	Detail(ctx context.Context, a *orient.Advice, c *orient.Candidate) (*orient.Detail, error)
	// Write writes the files of an order and gives their paths.
	Write(ctx context.Context, o handoverOrder) (handed, error)
}

// source is where a part comes from: a file, or a built-in part where path is
// empty.
type source struct {
	path string
	demo assets.Demo
	unit mesh.Unit
	// content is the file itself, called file, for a part that comes out of a job.
	content *job.Content
	file    string
}

// fileName gives the name of the part file, without folders.
func (s source) fileName() string {
	switch {
	case s.path != "":
		return filepath.Base(s.path)
	case s.content != nil:
		return s.file
	}
	return s.demo.File
}

// allItems takes every build item of a file as one part.
const allItems = -1

// handoverOrder is what the user wants to leave with.
type handoverOrder struct {
	handover.Order
	threeMF, stl, sheet bool
	// bodies asks for what the support plan wants printed, but for the regions
	// of leave; raft for a raft below.
	bodies, raft bool
	leave        []int
	paper        render.Paper
	date         time.Time
}

// handed is what was written.
type handed struct {
	files []string
	sheet string
}

// workshop is the engine that does the work.
type workshop struct{}

var _ engine = workshop{}

// mostKept is the largest part file that is kept for saving as a job, in bytes.
const mostKept = 1 << 30

// Open reads a file, a built-in part, or the part of a job.
func (workshop) Open(ctx context.Context, from source) (*mesh.File, *job.Content, error) {
	if from.path != "" {
		return openFile(ctx, from)
	}
	content, unit := from.content, from.unit
	if content == nil {
		data, err := from.demo.Mesh()
		if err != nil {
			return nil, nil, fmt.Errorf("the built-in part %q cannot be read: %w", from.demo.Title, err)
		}
		content = job.NewContent(data)
	}
	if unit == "" && from.demo.ID != "" {
		unit = mesh.Millimetre // the built-in parts are made in mm: nothing to assume
	}
	f, err := mesh.Read(ctx, from.fileName(), content.Reader(), content.Size(), mesh.ReadOptions{Unit: unit, Packed: content.OnDisk()})
	return f, content, err
}

// openFile reads a file from disk and keeps what it holds.
func openFile(ctx context.Context, from source) (*mesh.File, *job.Content, error) {
	f, err := mesh.ReadFile(ctx, from.path, mesh.ReadOptions{Unit: from.unit})
	if err != nil {
		return nil, nil, err
	}
	info, err := os.Stat(from.path)
	if err != nil || info.Size() > mostKept {
		return f, nil, nil
	}
	data, err := os.ReadFile(from.path)
	content := job.NewContent(data)
	if err != nil || content.SHA256() != f.SHA256 {
		return f, nil, nil // it changes as it is read: advise on what was read, but keep nothing
	}
	return f, content, nil
}

// Part makes the part of one item, or of all.
func (workshop) Part(ctx context.Context, f *mesh.File, item int) (*mesh.Part, error) {
	if item == allItems {
		return f.Part(ctx)
	}
	return f.Part(ctx, item)
}

// Advise works the advice out.
func (workshop) Advise(ctx context.Context, p *mesh.Part, b orient.Brief, report func(orient.Progress)) (*orient.Advice, error) {
	return orient.Advise(ctx, p, b, report)
}

// Revise works the advice out for a changed brief.
func (workshop) Revise(ctx context.Context, a *orient.Advice, b orient.Brief, report func(orient.Progress)) (*orient.Advice, error) {
	return a.Revise(ctx, b, report)
}

// Fire solves the furnace on the usual grid, then plans the supports.
func (workshop) Fire(ctx context.Context, a *orient.Advice, report func(orient.Progress)) (*orient.Advice, error) {
	const firingShare = 0.85 // of the time, about
	within := func(from, to float64) func(orient.Progress) {
		return func(p orient.Progress) {
			p.Fraction = from + p.Fraction*(to-from)
			report(p)
		}
	}
	fired, err := a.Fire(ctx, orient.FiringOptions{}, within(0, firingShare))
	if err != nil {
		return nil, err
	}
	return fired.PlanSupports(ctx, within(firingShare, 1))
}

// Detail works out what the pictures of a candidate need.
func (workshop) Detail(ctx context.Context, a *orient.Advice, c *orient.Candidate) (*orient.Detail, error) {
	return a.Detail(ctx, c)
}

// Write writes what is asked for. Files already written stay when a later one
// fails; each is whole.
func (workshop) Write(ctx context.Context, o handoverOrder) (handed, error) {
	var out handed
	o.Context = ctx
	if err := o.build(ctx); err != nil {
		return out, err
	}
	for _, w := range []struct {
		wanted bool
		write  func() ([]string, error)
	}{{o.threeMF, one(o.Write3MF)}, {o.stl, one(o.WriteSTL)}, {o.stl && len(o.Bodies) > 0, o.WriteBodies}} {
		if !w.wanted {
			continue
		}
		paths, err := w.write()
		out.files = append(out.files, paths...)
		if err != nil {
			return out, err
		}
		if ctx.Err() != nil {
			return out, ctx.Err()
		}
	}
	if !o.sheet {
		return out, nil
	}
	meshFile := ""
	if len(out.files) > 0 {
		meshFile = out.files[0]
	}
	path, err := o.WriteSheet(ctx, o.paper, o.date, meshFile)
	if err != nil {
		return out, err
	}
	out.sheet = path
	out.files = append(out.files, path)
	return out, nil
}

// build makes the bodies that are to be printed with the part.
func (o *handoverOrder) build(ctx context.Context) error {
	if !o.bodies && !o.raft || o.Size != handover.Green || !o.threeMF && !o.stl {
		return nil
	}
	leave := func(item int) bool { return !o.bodies || slices.Contains(o.leave, item) }
	bodies, err := o.Advice.Bodies(ctx, o.Candidate, o.raft, leave)
	if err != nil {
		return fmt.Errorf("the supports could not be built; untick them to write the part alone: %w", err)
	}
	o.Bodies = bodies
	return nil
}

// one makes of a function that writes a file one that writes any number.
func one(write func() (string, error)) func() ([]string, error) {
	return func() ([]string, error) {
		path, err := write()
		if err != nil {
			return nil, err
		}
		return []string{path}, nil
	}
}
