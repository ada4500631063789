package headless

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
	"kilnpoise/render"
)

// Run does the job: it reads the part, works out the advice and writes what was
// asked for. The JSON goes to stdout where asked, progress and remarks to stderr.
// Errors are one clear line.
func Run(ctx context.Context, o Options, stdout, stderr io.Writer) error {
	begin := time.Now()
	say := &console{w: stderr}
	part, kept, err := o.read(ctx, say)
	if err != nil {
		return err
	}
	readTime := time.Since(begin)
	brief, err := o.brief(openLibrary(say), part.Mesh, kept)
	if err != nil {
		return err
	}
	if err := o.makeOut(); err != nil {
		return err
	}
	advice, err := orient.Advise(ctx, part, brief, say.progress)
	if err != nil {
		return err
	}
	if !o.NoFurnace {
		if advice, err = advice.Fire(ctx, orient.FiringOptions{Elements: o.FurnaceGrid, Friction: o.Friction}, say.progress); err != nil {
			return err
		}
	}
	if advice, err = advice.PlanSupports(ctx, say.progress); err != nil {
		return err
	}
	say.notes(advice.Notes)
	drawing := time.Now()
	if !o.NoFiles {
		if err := o.writeFiles(ctx, advice, say); err != nil {
			return err
		}
	}
	report := orient.NewReport(advice)
	report.Elapsed.Read = readTime.Seconds()
	report.Elapsed.Pictures = time.Since(drawing).Seconds()
	report.SetTotal(begin)
	say.verdict(advice)
	return o.writeReport(report, stdout)
}

// read reads the part, or the demo part; of a job also the brief, else nil.
func (o *Options) read(ctx context.Context, say *console) (*mesh.Part, *orient.Brief, error) {
	if isJob(o.Part) {
		return o.readJob(ctx, say)
	}
	part, err := o.readPart(ctx, say)
	return part, nil, err
}

func (o *Options) readPart(ctx context.Context, say *console) (*mesh.Part, error) {
	file, err := o.open(ctx)
	if err != nil {
		return nil, err
	}
	say.notes(file.Notes)
	var items []int
	switch {
	case o.Item > len(file.Items):
		return nil, fmt.Errorf("--item %d: %s has %d build items", o.Item, filepath.Base(file.Path), len(file.Items))
	case o.Item > 0:
		items = []int{o.Item - 1}
	case len(file.Items) > 1:
		say.line("%s has %d build items; they are taken as one part. Choose one with --item.", filepath.Base(file.Path), len(file.Items))
	}
	part, err := file.Part(ctx, items...)
	if err != nil {
		return nil, err
	}
	say.notes(part.Health.Findings)
	say.notes(part.Health.Repairs)
	return part, nil
}

func (o *Options) open(ctx context.Context) (*mesh.File, error) {
	options := mesh.ReadOptions{Unit: o.Unit}
	if o.Part != "" {
		return mesh.ReadFile(ctx, o.Part, options)
	}
	demo := assets.DefaultPart()
	data, err := demo.Mesh()
	if err != nil {
		return nil, err
	}
	if options.Unit == "" {
		options.Unit = mesh.Millimetre // the demo parts are made in mm: nothing to assume
	}
	return mesh.Read(ctx, demo.File, bytes.NewReader(data), int64(len(data)), options)
}

// openLibrary opens the records and says what was wrong with the user's own.
func openLibrary(say *console) *process.Library {
	folder, err := process.UserFolder()
	if err != nil {
		folder = "" // no home folder, no records of one's own: the built-in ones do
	}
	library := process.OpenLibrary(assets.Records(), folder)
	if err := library.Problems(); err != nil {
		say.line("%v", err)
	}
	return library
}

func (o *Options) makeOut() error {
	if o.Out == "" {
		return nil
	}
	if err := os.MkdirAll(o.Out, 0o755); err != nil {
		return fmt.Errorf("the folder for the files cannot be made: %w", err)
	}
	return nil
}

// writeFiles writes the pictures, the mesh of the first candidate and its sheet.
func (o *Options) writeFiles(ctx context.Context, a *orient.Advice, say *console) error {
	for i := range a.Candidates {
		if err := o.writePicture(ctx, a, &a.Candidates[i]); err != nil {
			return err
		}
		say.stage("drawing the candidates", float64(i+1)/float64(len(a.Candidates)))
	}
	order := handover.Order{Advice: a, Candidate: &a.Candidates[0], Folder: o.Out, Name: a.Part.Name}
	if o.SinteredSize {
		order.Size = handover.Sintered
	}
	if o.Bodies || o.Raft {
		none := func(int) bool { return !o.Bodies }
		bodies, err := a.Bodies(ctx, order.Candidate, o.Raft, none)
		if err != nil {
			return err
		}
		order.Bodies = bodies
		if _, err := order.WriteBodies(); err != nil {
			return err
		}
	}
	threeMF, err := order.Write3MF()
	if err != nil {
		return err
	}
	if _, err := order.WriteSTL(); err != nil {
		return err
	}
	paper := render.A4
	if o.Letter {
		paper = render.Letter
	}
	_, err = order.WriteSheet(ctx, paper, time.Now(), threeMF)
	return err
}

// The size of the pictures of the candidates, pixels.
const pictureWidth, pictureHeight = 960, 720

// writePicture draws one candidate on the plate with its legend.
func (o *Options) writePicture(ctx context.Context, a *orient.Advice, c *orient.Candidate) error {
	detail, err := a.Detail(ctx, c)
	if err != nil {
		return err
	}
	picture, err := handover.Picture(ctx, detail, &a.Brief, pictureWidth, pictureHeight)
	if err != nil {
		return err
	}
	path := filepath.Join(o.Out, fmt.Sprintf("candidate-%02d.png", c.Rank))
	return mesh.WriteFileWhole(path, picture.Write)
}

// writeReport writes advice.json and, where asked, the same to stdout.
func (o *Options) writeReport(r orient.Report, stdout io.Writer) error {
	if o.Out != "" {
		if err := mesh.WriteFileWhole(filepath.Join(o.Out, "advice.json"), r.Write); err != nil {
			return err
		}
	}
	if o.JSON {
		return r.Write(stdout)
	}
	return nil
}
